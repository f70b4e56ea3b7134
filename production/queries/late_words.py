"""Why a line leaves late, in plain words with the figures of when it was planned, and what would help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.timezone import localtime

from production.models import PlannedLine
from production.queries.wording import counted, listed, span_words

NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


@dataclass(frozen=True)
class Help:
    """One thing that would help: what, and the words and place of the plate that leads there.

    `place` is an address name of this or a lower app, or an area ("studio", "orders") to be looked up above.
    """

    text: str
    label: str
    place: str
    place_argument: int | None = None


@dataclass(frozen=True)
class WhyLate:
    """The panel under a group that leaves late, for one demand."""

    heading: str
    sentence: str
    helps: tuple[Help, ...]
    would_not: str


def number_words(count: int) -> str:
    """A count in words up to twelve: "two", then "13"."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def why_late(lines: Sequence[PlannedLine], all_pieces: int) -> WhyLate:
    """Why these boards of one demand are late; `all_pieces` of the demand in the plan, late or not."""
    worst = max(lines, key=_weight)
    pieces = sum(line.quantity for line in lines)
    return WhyLate(
        heading=_heading(worst, pieces, all_pieces),
        sentence=_sentence(worst),
        helps=_helps(worst, pieces < all_pieces),
        would_not=_would_not(worst),
    )


def _weight(line: PlannedLine) -> tuple[bool, int, bool, bool]:
    """How much a board says about why a demand is late: the latest first, then the one with most figures."""
    facts = line.held_facts
    return (
        line.packed_at is None,
        line.days_late,
        bool(facts.get("mould")),
        bool(facts.get("latest_first_pour")),
    )


def _days_late(line: PlannedLine) -> int:
    """Days from the one it should leave on to the one it is packed on, as people count them."""
    if line.packed_at is None:
        return line.days_late
    return max(1, (localtime(line.packed_at).date() - line.ship_by).days)


def _heading(line: PlannedLine, pieces: int, all_pieces: int) -> str:
    of = f"{pieces} of {all_pieces}" if pieces < all_pieces else str(pieces)
    leaves = "leaves" if pieces == 1 else "leave"
    if line.packed_at is None:
        leaves = "does" if pieces == 1 else "do"
        return f"{line.label}: {of} {line.article} in {line.colour} {leaves} not fit in the calendar"
    late = _days_late(line)
    days = f"{number_words(late)} {'day' if late == 1 else 'days'}"
    return f"{line.label}: {of} {line.article} in {line.colour} {leaves} {days} late"


def _sentence(line: PlannedLine) -> str:
    facts = line.held_facts
    ready = f" It is packed {_when(line.packed_at)}." if line.packed_at else ""
    if line.held_by == PlannedLine.HeldBy.ORDERED_LATE:
        return _ordered_late_sentence(facts) + ready
    if line.held_by == PlannedLine.HeldBy.MOULD:
        return _mould_sentence(facts) + ready
    waited = _waited(facts, str(line.held_by))
    if line.held_by == PlannedLine.HeldBy.POWDER:
        compound = facts.get("compound") or "it"
        return f"There is not enough powder for {compound}: it waits {waited} for more.{ready}"
    if line.held_by == PlannedLine.HeldBy.CLOSED:
        return f"Nobody is in on days it needed.{ready}"
    return f"Hands are the limit: it waits {waited} of working time for them.{ready}"


def _ordered_late_sentence(facts: dict[str, object]) -> str:
    first, earliest = _instant(facts.get("latest_first_pour")), _instant(facts.get("earliest_packed"))
    said = []
    if facts.get("mould"):
        said.append(_mould_sentence(facts))
    if first:
        said.append(f"It would have had to be poured by {_when(first)}.")
    if earliest:
        said.append(f"With nothing else to do it could be packed {_when(earliest)} at the earliest.")
    return " ".join(said) or "There is too little time from now to the day it leaves."


def _mould_sentence(facts: dict[str, object]) -> str:
    mould, copies = facts.get("mould") or "its mould", int(str(facts.get("copies") or 0))
    inside, rest = (
        int(str(facts.get("in_mould_minutes") or 0)),
        int(str(facts.get("clean_and_dry_minutes") or 0)),
    )
    own = "You own one copy" if copies == 1 else f"You own {number_words(copies)} copies"
    each = "a pour takes it" if copies == 1 else "a pour takes each"
    return (
        f"{own} of the mould {mould}, and {each} for {span_words(inside + rest)}:"
        f" {span_words(inside)} in the mould, {span_words(rest)} to clean and dry."
    )


def _helps(line: PlannedLine, some_in_time: bool) -> tuple[Help, ...]:
    facts = line.held_facts
    found = []
    if facts.get("mould_id"):
        why = f"it waited {_waited(facts, 'mould')} for a free one."
        if line.held_by == PlannedLine.HeldBy.ORDERED_LATE:
            why = f"{facts.get('turns')} pours one after the other take the time."
        found.append(
            Help(
                f"Another copy of {facts.get('mould')}: {why}",
                "Note a new copy",
                "production:mould",
                int(facts["mould_id"]),
            )
        )
    if line.held_by == PlannedLine.HeldBy.POWDER:
        found.append(Help("Powder before it runs out.", "What will run out", "inventory:stores"))
    if line.held_by in (PlannedLine.HeldBy.HANDS, PlannedLine.HeldBy.CLOSED):
        found.append(Help("More hours with hands in, before it leaves.", "Add hands", "studio"))
    if some_in_time and line.packed_at:
        found.append(
            Help(
                f"Send what is ready in time, the rest {_day(line.packed_at)}.", "Ship in two parts", "orders"
            )
        )
    return tuple(found)


def _would_not(line: PlannedLine) -> str:
    """What it never waited for would not help; said only where the waits are known."""
    waited = line.held_facts.get("waited_minutes") or {}
    if not waited or line.held_by == PlannedLine.HeldBy.ORDERED_LATE:
        return ""
    never = [
        words
        for limit, words in (("powder", "more powder"), ("hands", "more hands"), ("mould", "more moulds"))
        if waited.get(limit) == 0 and limit != line.held_by
    ]
    if not never:
        return ""
    words, them = " or ".join(never), "that" if len(never) < 2 else "them"
    return f"{words[0].upper()}{words[1:]} would not help: it never waited for {them}."


def _waited(facts: dict[str, object], limit: str) -> str:
    minutes = facts.get("waited_minutes") or {}
    return span_words(int(minutes.get(limit, 0)))  # type: ignore[attr-defined]


def _instant(text: object) -> datetime | None:
    return datetime.fromisoformat(str(text)) if text else None


def _day(at: datetime) -> str:
    local = localtime(at)
    return f"{local:%a} {local.day}"


def _when(at: datetime | None) -> str:
    return "" if at is None else f"{_day(at)}, {localtime(at):%H:%M}"


def late_statement(late: Sequence[PlannedLine]) -> str:
    """The sentence on top of the Week: "One order will leave late"."""
    labels = len({line.label for line in late})
    if not labels:
        return "Everything leaves in time"
    noun = "order" if labels == 1 else "orders"
    return f"{number_words(labels).capitalize()} {noun} will leave late"


def counted_demand(orders: int, market_days: int) -> str:
    """Who the plan is for: "7 orders and 1 market day"."""
    words = []
    if orders:
        words.append(counted(orders, "order"))
    if market_days:
        words.append(counted(market_days, "market day"))
    return listed(words) or "Shelf stock only"
