"""How castings came out, by what they were cast in and from, each share with its range."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from production.arithmetic.wilson import Share, share_of

MOULD, COMPOUND, LOT, TUB_AGE, OPENINGS = "mould", "compound", "powder lot", "tub age", "openings"
KINDS = (MOULD, COMPOUND, LOT, TUB_AGE, OPENINGS)
NOT_GOOD, SECOND, SCRAP = "second or scrap", "second", "scrap"
NOT_KNOWN = "not known"

DAYS_PER_WEEK = 7
AGE_FROM_WEEKS = (0, 1, 2, 4, 6, 8, 10, 13)
OPENINGS_FROM = (1, 3, 6, 11, 21, 41)


@dataclass(frozen=True)
class JudgedCast:
    """One casting that was looked at.

    `powder_lots` its mix took powder from; `tub_days` the powder's tub had been open and `openings` its lid
    had been off when it was weighed, None where nobody noted it. `reason` "" when none was given.
    """

    mould: str
    compound: str
    powder_lots: tuple[str, ...]
    mix: int
    outcome: str
    reason: str
    tub_days: int | None = None
    openings: int | None = None


@dataclass(frozen=True)
class GroupRate:
    """One group: its castings and mixes, how they came out, the share counted, and that of all the others.

    `rest` is None where there are no others. `reasons` of its seconds and scrap, the most frequent first.
    """

    group: str
    casts: int
    mixes: int
    good: int
    second: int
    scrap: int
    share: Share
    rest: Share | None
    reasons: tuple[tuple[str, int], ...]

    @property
    def stands_out(self) -> bool:
        """Whether it is worse than the others beyond chance: the two ranges do not meet."""
        return self.group != NOT_KNOWN and self.rest is not None and self.share.is_above(self.rest)


def rates_by(kind: str, casts: Sequence[JudgedCast], counted: str = NOT_GOOD) -> tuple[GroupRate, ...]:
    """Give the share of `counted` in every group of one kind, for castings that were judged.

    `kind` is one of KINDS; `counted` is NOT_GOOD, SECOND, SCRAP or a reason, which counts seconds and scrap
    with it. A casting of two powder lots counts in both. Moulds, compounds and lots come in order of their
    names, ages and openings from few to many, what is not known last.

    Source: ranges by Wilson, see `wilson.py`. They take every casting for itself; those of one mix share its
    fate, so that the true range is wider where few mixes stand behind it.
    """
    groups: dict[str, list[JudgedCast]] = defaultdict(list)
    for cast in casts:
        for group in _GROUPS[kind](cast):
            groups[group].append(cast)
    return tuple(_rate(group, groups[group], casts, counted) for group in sorted(groups, key=_in_order(kind)))


def counts(cast: JudgedCast, counted: str) -> bool:
    """Whether a casting is one of what is counted."""
    if counted == NOT_GOOD:
        return cast.outcome != "good"
    if counted in (SECOND, SCRAP):
        return cast.outcome == counted
    return cast.outcome != "good" and cast.reason == counted


def band_words(value: int | None, starts: Sequence[int], unit: str = "") -> str:
    """The band of a whole number: "under 1 week", "4 to 5 weeks", "13 weeks and more"."""
    if value is None:
        return NOT_KNOWN
    tail = f" {unit}s" if unit else ""
    for start, after in pairwise(starts):
        if value < after:
            if start == 0:
                return f"under {after}{f' {unit}' if unit else ''}"
            if after == start + 1:
                return f"{start}{f' {unit}' if unit else ''}{'s' if unit and start > 1 else ''}"
            return f"{start} to {after - 1}{tail}"
    return f"{starts[-1]}{tail} and more"


def _rate(group: str, inside: Sequence[JudgedCast], casts: Sequence[JudgedCast], counted: str) -> GroupRate:
    outcomes = Counter(cast.outcome for cast in inside)
    reasons = Counter(cast.reason for cast in inside if cast.reason and cast.outcome != "good")
    count, all_count = (sum(counts(cast, counted) for cast in some) for some in (inside, casts))
    others = len(casts) - len(inside)
    return GroupRate(
        group=group,
        casts=len(inside),
        mixes=len({cast.mix for cast in inside}),
        good=outcomes["good"],
        second=outcomes["second"],
        scrap=outcomes["scrap"],
        share=share_of(count, len(inside)),
        rest=share_of(all_count - count, others) if others else None,
        reasons=tuple(sorted(reasons.items(), key=lambda entry: (-entry[1], entry[0]))),
    )


def _age_band(days: int | None) -> str:
    return band_words(None if days is None else days // DAYS_PER_WEEK, AGE_FROM_WEEKS, "week")


_GROUPS: dict[str, Callable[[JudgedCast], Sequence[str]]] = {
    MOULD: lambda cast: (cast.mould,),
    COMPOUND: lambda cast: (cast.compound,),
    LOT: lambda cast: tuple(dict.fromkeys(cast.powder_lots)) or (NOT_KNOWN,),
    TUB_AGE: lambda cast: (_age_band(cast.tub_days),),
    OPENINGS: lambda cast: (band_words(cast.openings, OPENINGS_FROM),),
}


def _in_order(kind: str) -> Callable[[str], tuple[bool, int, str]]:
    """Bands from few to many, names by the alphabet, what is not known last."""
    bands: list[str] = []
    if kind == TUB_AGE:
        bands = [band_words(weeks, AGE_FROM_WEEKS, "week") for weeks in AGE_FROM_WEEKS]
    elif kind == OPENINGS:
        bands = [band_words(start, OPENINGS_FROM) for start in OPENINGS_FROM]
    return lambda group: (group == NOT_KNOWN, bands.index(group) if group in bands else 0, group.lower())
