"""Times and counts as the bench says them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from production.queries.wording import (
    clock,
    copies_words,
    counted,
    day_clock,
    listed,
    said_clock,
    span_words,
    whole_minutes,
)

# British summer time: an hour before the clock on the wall.
MORNING = datetime(2026, 10, 6, 8, 31, tzinfo=UTC)


def test_times_are_said_by_the_clock_on_the_wall():
    assert clock(MORNING) == "09:31"


def test_a_time_of_another_day_says_which():
    thursday = datetime(2026, 10, 8, 8, 10, tzinfo=UTC)

    assert day_clock(MORNING, MORNING) == "09:31"
    assert day_clock(thursday, MORNING) == "Thu 8, 09:10"
    assert said_clock(MORNING, MORNING) == "today 09:31"
    assert said_clock(thursday, MORNING) == "Thu 8, 09:10"


@pytest.mark.parametrize(
    ("minutes", "said"), [(7, "7 min"), (60, "1 h"), (130, "2 h 10"), (1440, "1 d"), (1560, "1 d 2 h")]
)
def test_spans(minutes, said):
    assert span_words(minutes) == said


def test_begun_minutes_count():
    assert whole_minutes(timedelta(minutes=6, seconds=1)) == 7
    assert whole_minutes(timedelta(minutes=6)) == 6


def test_counts_and_lists():
    assert [counted(1, "piece"), counted(3, "piece"), counted(2, "dish")] == [
        "1 piece",
        "3 pieces",
        "2 dishes",
    ]
    assert [copies_words([2]), copies_words([2, 1]), copies_words([1, 2, 4])] == [
        "copy 2", "copies 1 and 2", "copies 1, 2 and 4",
    ]  # fmt: skip
    assert [listed([]), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])] == [
        "", "a", "a and b", "a, b and c",
    ]  # fmt: skip
