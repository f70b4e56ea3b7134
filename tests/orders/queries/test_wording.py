"""Days and counts in words."""

from __future__ import annotations

from datetime import date

import pytest

from orders.queries.wording import count_word, leaves_words, near_day, quoted_numbers

TODAY = date(2026, 10, 5)


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (TODAY, "today"),
        (date(2026, 10, 9), "Fri 9"),
        (date(2026, 10, 29), "Thu 29"),
        (date(2026, 10, 30), "Fri 30 Oct"),
        (date(2027, 1, 4), "Mon 4 Jan 2027"),
    ],
)
def test_a_day_is_said_no_longer_than_needed(day, said):
    assert near_day(day, TODAY) == said


def test_a_near_day_of_another_year_has_its_year():
    assert near_day(date(2027, 1, 1), date(2026, 12, 20)) == "Fri 1 Jan 2027"
    assert near_day(date(2026, 12, 31), date(2027, 1, 2)) == "Thu 31 Dec 2026"


def test_headings_of_days():
    assert leaves_words(TODAY, TODAY) == "Leaves today"
    assert leaves_words(date(2026, 10, 2), TODAY) == "Should have left Fri 2"


def test_counts_and_numbers():
    assert [count_word(count) for count in (0, 1, 10, 11)] == ["no", "one", "ten", "11"]
    assert quoted_numbers(["1041"]) == "order 1041"
    assert quoted_numbers(["1041", "1044", "1045"]) == "orders 1041, 1044 and 1045"
