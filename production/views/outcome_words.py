"""The outcomes in words, pictures and rows of a file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from inventory.drawings.shapes import Drawn
from production.arithmetic.outcome_rates import (
    COMPOUND,
    KINDS,
    LOT,
    MOULD,
    NOT_KNOWN,
    OPENINGS,
    TUB_AGE,
    GroupRate,
    JudgedCast,
    rates_by,
)
from production.drawings.outcome_rates import RateFacts, RateLine, drawn_rates
from production.queries.outcomes import CastOutcome
from production.queries.wording import counted as so_many
from production.queries.wording import listed

HEADINGS = {
    MOULD: "By mould",
    COMPOUND: "By compound",
    LOT: "By powder lot",
    TUB_AGE: "By how long the powder's tub was open",
    OPENINGS: "By how often the tub's lid had been off",
}
# How a group is said within a sentence.
SAID = {
    MOULD: "{}",
    COMPOUND: "{}",
    LOT: "Powder of lot {}",
    TUB_AGE: "Powder from a tub open {}",
    OPENINGS: "Powder from a tub whose lid was off {} times",
}
DRAWN_MOST = 12
REASONS_MOST = 3


@dataclass(frozen=True)
class RateRow:
    """One group with its share and range in words."""

    rate: GroupRate
    share: str
    range: str
    reasons: str


@dataclass(frozen=True)
class RatesShown:
    """One kind of group: the picture and the same as a table; `not_drawn` groups stand in the table only."""

    heading: str
    group_head: str
    picture: Drawn | None
    not_drawn: int
    rows: tuple[RateRow, ...]


def rates_shown(casts: Sequence[JudgedCast], counted: str) -> list[RatesShown]:
    """Every kind of group, in the order they are looked at."""
    return [_shown(kind, rates_by(kind, casts, counted), counted) for kind in KINDS]


def what_stands_out(casts: Sequence[JudgedCast], counted: str) -> list[str]:
    """A sentence for every group that is worse than the others beyond chance, the worst first."""
    found = [(rate, kind) for kind in KINDS for rate in rates_by(kind, casts, counted) if rate.stands_out]
    found.sort(key=lambda entry: -entry[0].share.low)
    return [_stands_out(rate, kind, counted) for rate, kind in found]


def percent(part: float) -> str:
    """A part in whole percent, with one decimal under ten: "4.2 %", "45 %"."""
    hundredths = 100 * part
    return f"{hundredths:.0f} %" if hundredths >= 9.95 or hundredths == 0 else f"{hundredths:.1f} %"


def range_words(low: float, high: float) -> str:
    """A range: "26 to 66 %"."""
    return f"{percent(low)[:-2]} to {percent(high)}"


def rate_rows(casts: Sequence[JudgedCast], counted: str) -> Iterator[Sequence[object]]:
    """The file of the rates: one row for each group."""
    yield (
        "Kind",
        "Group",
        "Castings",
        "Mixes",
        "Good",
        "Second",
        "Scrap",
        "Counted",
        "Counted castings",
        "Share",
        "Low (Wilson 95 %)",
        "High (Wilson 95 %)",
    )
    for kind in KINDS:
        for rate in rates_by(kind, casts, counted):
            share = rate.share
            outcomes = (rate.casts, rate.mixes, rate.good, rate.second, rate.scrap)
            parts = (round(share.part, 4), round(share.low, 4), round(share.high, 4))
            yield (kind, rate.group, *outcomes, counted, share.count, *parts)


def cast_rows(
    outcomes: Iterable[CastOutcome], local: Callable[[datetime], datetime]
) -> Iterator[Sequence[object]]:
    """The file of the castings: one row for each."""
    yield (
        "Out of the mould",
        "Mix",
        "Article",
        "Part",
        "Mould",
        "Copy",
        "Colour",
        "Compound",
        "Powder lots",
        "Tubs",
        "Days the tub was open",
        "Times the lid was off",
        "Outcome",
        "Reason",
        "Piece",
    )
    for one in outcomes:
        seen = one.seen
        made = (seen.mix, one.article, one.part, seen.mould, one.copy, one.colour, seen.compound)
        powder = (" ".join(seen.powder_lots), " ".join(one.tubs), seen.tub_days, seen.openings)
        yield (f"{local(one.out_at):%Y-%m-%d %H:%M}", *made, *powder, seen.outcome, seen.reason, one.mark)


def _shown(kind: str, rates: Sequence[GroupRate], counted: str) -> RatesShown:
    known = [rate for rate in rates if rate.group != NOT_KNOWN]
    # What most castings stand behind, in the order of the table.
    most = sorted(known, key=lambda rate: -rate.casts)[:DRAWN_MOST]
    drawn = [rate for rate in known if rate in most]
    says = "; ".join(
        f"{rate.group} {_counted(rate)}, {range_words(rate.share.low, rate.share.high)}" for rate in drawn
    )
    lines = [RateLine(rate.group, rate.share, rate.stands_out) for rate in drawn]
    return RatesShown(
        heading=HEADINGS[kind],
        group_head=kind.capitalize(),
        picture=drawn_rates(RateFacts(lines, f"{HEADINGS[kind]}, {counted}: {says}.")) if lines else None,
        not_drawn=len(known) - len(drawn),
        rows=tuple(_row(rate) for rate in rates),
    )


def _row(rate: GroupRate) -> RateRow:
    share = rate.share
    reasons = ", ".join(f"{count} {reason}" for reason, count in rate.reasons[:REASONS_MOST])
    return RateRow(rate, percent(share.part), range_words(share.low, share.high), reasons)


def _counted(rate: GroupRate) -> str:
    return f"{rate.share.count} of {rate.share.of}"


def _stands_out(rate: GroupRate, kind: str, counted: str) -> str:
    assert rate.rest is not None
    own, rest = rate.share, rate.rest
    said = SAID[kind].format(rate.group)
    why = ""
    if rate.reasons:
        why = f" Mostly {listed([reason for reason, _ in rate.reasons[:2]])}."
    return (
        f"{said}: {own.count} of {own.of} {counted} ({range_words(own.low, own.high)}),"
        f" against {rest.count} of {rest.of} of the others ({range_words(rest.low, rest.high)})."
        f"{why} {so_many(rate.mixes, 'mix')} behind it."
    )
