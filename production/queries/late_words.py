"""What leaves late, in plain words: the panel under a group, and the statement on top of the Week."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.timezone import localtime

from production.models import LateReason, PlannedLine
from production.queries.late_looks import LateLookRead
from production.queries.offer_words import Help, helps_for, would_not_help
from production.queries.reason_words import number_words, reason_sentence
from production.queries.wording import counted, listed


@dataclass(frozen=True)
class WhyLate:
    """The panel under a group that leaves late, for one demand."""

    heading: str
    sentence: str
    helps: tuple[Help, ...]
    would_not: str


def why_late(lines: Sequence[PlannedLine], all_pieces: int, look: LateLookRead | None = None) -> WhyLate:
    """Why these boards of one demand are late, and what would help as far as it was looked into.

    `all_pieces` of the demand in the plan, late or not.
    """
    worst = max(lines, key=lambda line: _weight(line, _reason(line, look)))
    pieces = sum(line.quantity for line in lines)
    return WhyLate(
        heading=_heading(worst, pieces, all_pieces),
        sentence=reason_sentence(worst, _reason(worst, look)),
        helps=helps_for(lines, look, some_in_time=pieces < all_pieces),
        would_not=would_not_help(lines, look),
    )


def _reason(line: PlannedLine, look: LateLookRead | None) -> LateReason | None:
    return look.reasons.get(line.pk) if look else None


def _weight(line: PlannedLine, reason: LateReason | None) -> tuple[bool, int, bool, bool, bool]:
    """How much a board says about why a demand is late: the latest first, then the one with most figures."""
    facts = line.held_facts
    return (
        line.packed_at is None,
        line.days_late,
        reason is not None and reason.kind != LateReason.Kind.NOT_YET,
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
