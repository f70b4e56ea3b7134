"""Which order could leave now with ready pieces that wait in vain for others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Kind = tuple[int, int]
"""(article id, colour id)."""


@dataclass(frozen=True)
class WaitingOrder:
    """An order that cannot leave now: pieces it lacks by kind, and ready ones it could give by kind.

    Only an order that waits for long gives anything; one that is complete tomorrow has nothing to give.
    """

    number: str
    lacks: Mapping[Kind, int]
    could_give: Mapping[Kind, Sequence[str]]


@dataclass(frozen=True)
class Instead:
    """An order that could leave now with these pieces: (kind, mark, number of the order that has it)."""

    number: str
    pieces: tuple[tuple[Kind, str, str], ...]


def could_leave_instead(orders: Sequence[WaitingOrder]) -> list[Instead]:
    """The orders, first ones first, that could leave with what others could give; no piece is named twice.

    An order that is to leave by this gives nothing itself, and one that gave is not to leave. Those that
    leave last are asked first.
    """
    found: list[Instead] = []
    given: set[str] = set()
    leaving: set[str] = set()
    givers: set[str] = set()
    could_give = [order for order in orders if any(order.could_give.values())]
    for order in orders:
        lacks = {kind: count for kind, count in order.lacks.items() if count}
        if not lacks or order.number in givers:
            continue
        pool: dict[Kind, list[tuple[str, str]]] = defaultdict(list)
        for other in reversed(could_give):
            if other.number in leaving or other.number == order.number:
                continue
            for kind in lacks:
                pool[kind] += [
                    (mark, other.number) for mark in other.could_give.get(kind, ()) if mark not in given
                ]
        if all(len(pool[kind]) >= count for kind, count in lacks.items()):
            pieces = tuple(
                (kind, mark, giver) for kind, count in lacks.items() for mark, giver in pool[kind][:count]
            )
            given |= {mark for _, mark, _ in pieces}
            givers |= {giver for _, _, giver in pieces}
            leaving.add(order.number)
            found.append(Instead(order.number, pieces))
    return found
