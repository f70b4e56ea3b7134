"""Why a line is late, said so that it can be done something about."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from production.models import Article, Colour, PlannedLine
from production.queries.late_words import late_statement, number_words, why_late

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


def test_hands_are_said_in_working_time_and_what_never_held_it_would_not_help() -> None:
    why = why_late([line()], 2)

    assert why.sentence.startswith("Hands are the limit: it waits 2 h 30 of working time for them.")
    assert [help.place for help in why.helps] == ["studio"]
    assert why.would_not == "More powder would not help: it never waited for that."


def test_powder_names_its_compound_and_leads_to_the_stores() -> None:
    facts = {
        "weight": 1,
        "compound": "slow plaster",
        "waited_minutes": {"powder": 480, "hands": 0, "mould": 0},
    }
    why = why_late([line(held_by="powder", held_facts=facts)], 2)

    assert "not enough powder for slow plaster: it waits 8 h for more." in why.sentence
    assert why.helps[0].place == "inventory:stores"
    assert why.would_not == "More hands or more moulds would not help: it never waited for them."


def test_closed_days_are_said() -> None:
    assert why_late([line(held_by="closed days")], 2).sentence.startswith("Nobody is in on days it needed.")


def test_ordered_too_late_names_the_day_and_the_mould_that_takes_the_turns() -> None:
    facts = {
        "weight": 1,
        "mould": "Groyne bookend",
        "mould_id": 4,
        "turns": 3,
        "copies": 2,
        "in_mould_minutes": 180,
        "clean_and_dry_minutes": 180,
        "latest_first_pour": "2026-10-01T08:00:00+00:00",
        "earliest_packed": "2026-10-12T08:00:00+00:00",
        "waited_minutes": {},
    }
    why = why_late([line(), line(held_by="ordered too late", held_facts=facts)], 6)

    assert "You own two copies of the mould Groyne bookend" in why.sentence
    assert "It would have had to be poured by Thu 1, 09:00." in why.sentence
    assert "at the earliest" in why.sentence
    assert why.helps[0].text == "Another copy of Groyne bookend: 3 pours one after the other take the time."
    assert why.would_not == ""


def test_what_is_in_time_can_be_sent_first() -> None:
    assert "Send what is ready in time, the rest Mon 12." in [
        help.text for help in why_late([line()], 6).helps
    ]
    assert all("Send" not in help.text for help in why_late([line()], 2).helps)


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


def test_counts_are_words_up_to_twelve() -> None:
    assert [number_words(count) for count in (0, 1, 12, 13)] == ["no", "one", "twelve", "13"]
