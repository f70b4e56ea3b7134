"""Why a line is late, said so that it can be done something about."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from production.models import Article, Colour, LateLook, LateReason, PlannedLine
from production.queries.late_looks import LateLookRead
from production.queries.late_words import late_statement, why_late
from production.queries.offer_words import Help

FRIDAY = date(2026, 10, 9)
MONDAY_9 = datetime(2026, 10, 12, 8, 0, tzinfo=UTC)


def line(**fields: Any) -> PlannedLine:
    """A late board of bookends, nothing of it kept."""
    given = {
        "label": "1047",
        "article": Article(name="Groyne bookend"),
        "colour": Colour(name="Fog"),
        "quantity": 2,
        "ship_by": FRIDAY,
        "packed_at": MONDAY_9,
        "days_late": 3,
        "held_by": "hands",
        "held_facts": {"weight": 1, "waited_minutes": {"hands": 150, "powder": 0, "mould": 20}},
        **fields,
    }
    return PlannedLine(**given)


def test_days_are_counted_as_people_count_them() -> None:
    """Due Friday at closing and packed on Monday morning is three days late on the calendar."""
    assert why_late([line()], 6).heading == "1047: 2 of 6 Groyne bookend in Fog leave three days late"
    assert why_late([line(quantity=1)], 1).heading.endswith("1 Groyne bookend in Fog leaves three days late")


def test_what_the_calendar_cannot_hold_says_so() -> None:
    assert why_late([line(packed_at=None)], 2).heading.endswith("do not fit in the calendar")


def test_what_can_leave_in_time_can_be_sent_first() -> None:
    assert why_late([line()], 6).helps == (
        Help("Send what is ready in time, the rest Mon 12.", "Ship in two parts", "orders"),
    )
    assert why_late([line()], 2).helps == ()


def test_before_a_look_the_panel_names_no_reason() -> None:
    why = why_late([line()], 2)

    assert why.sentence.endswith("Why it is late is not looked into yet. It is packed Mon 12, 09:00.")
    assert why.would_not == ""


def test_the_latest_board_with_a_reason_stands_for_its_demand() -> None:
    late, later = line(pk=1), line(pk=2, days_late=5)
    hands = LateReason(kind="limit", limits=[{"kind": "hands", "name": ""}])
    look = LateLookRead(LateLook(is_whole=True), {2: hands}, (), {})

    assert why_late([late, later], 4, look).sentence.startswith("Hands are the limit.")


@pytest.mark.parametrize(
    ("labels", "says"),
    [
        ([], "Everything leaves in time"),
        (["1047", "1047"], "One order will leave late"),
        (["1047", "1048"], "Two orders will leave late"),
        ([str(n) for n in range(14)], "14 orders will leave late"),
    ],
)
def test_the_statement_counts_orders_not_lines(labels: list[str], says: str) -> None:
    assert late_statement([line(label=label) for label in labels]) == says
