"""How an order stands, in one sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

READY, IN_MOULD, NOT_POURED = "ready", "in the mould", "not poured"
# From nearest to leaving to furthest from it; other states stand between the first and the last two.
_LAST = (IN_MOULD, NOT_POURED)


def standing_sentence(
    states: Sequence[str], *, boxed: int, shipped: int, pours: Sequence[str] = (), ready_words: str = ""
) -> str:
    """Say how the pieces of an order stand.

    Parameters: `states` one word for each piece that has not left ("ready", "drying", "coat 1", "in the
    mould", "not poured"); `boxed` of them in the box, `shipped` besides them; `pours` the days or times of
    pours to come; `ready_words` when the last is ready.

    >>> standing_sentence(["ready"] * 4, boxed=3, shipped=0)
    'all 4 ready, 3 in the box'
    >>> standing_sentence(["drying", "drying", "not poured"], boxed=0, shipped=0, ready_words="Tue 13, 13:00")
    '2 of 3 drying, 1 not poured, ready Tue 13, 13:00'
    """
    parts = _parts(states, pours)
    if boxed:
        parts.append(f"{boxed} in the box")
    if shipped:
        parts.append(f"{shipped} shipped")
    if ready_words and any(state != READY for state in states):
        parts.append(f"ready {ready_words}")
    return ", ".join(parts)


def _parts(states: Sequence[str], pours: Sequence[str]) -> list[str]:
    count = Counter(states)
    total = len(states)
    if total == 0:
        return []
    if len(count) == 1:
        (state,) = count
        if state == NOT_POURED:
            return [f"to pour {_listed(pours)}" if pours else NOT_POURED]
        if state == READY:
            return [_all_ready(total)]
        return [state]
    in_order = sorted(count, key=_nearness)
    parts = [f"{count[in_order[0]]} of {total} {in_order[0]}"]
    for state in in_order[1:]:
        to_pour = state == NOT_POURED and pours
        parts.append(f"{count[state]} to pour {_listed(pours)}" if to_pour else f"{count[state]} {state}")
    return parts


def _all_ready(total: int) -> str:
    return {1: "ready", 2: "both ready"}.get(total, f"all {total} ready")


def _nearness(state: str) -> tuple[int, str]:
    if state == READY:
        return (0, state)
    return (2 + _LAST.index(state), state) if state in _LAST else (1, state)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
