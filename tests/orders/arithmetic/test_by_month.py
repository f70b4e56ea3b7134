"""Figures by month."""

from __future__ import annotations

from datetime import date

from orders.arithmetic.by_month import first_of, middle, month_after, months_to, percent


def test_months_lead_up_to_a_day_over_the_turn_of_a_year():
    assert months_to(date(2026, 1, 31), 2) == [date(2025, 12, 1), date(2026, 1, 1)]
    assert (first_of(date(2026, 2, 28)), month_after(date(2026, 12, 1))) == (
        date(2026, 2, 1),
        date(2027, 1, 1),
    )


def test_shares_are_whole_percents_and_unknown_of_nothing():
    assert (percent(1, 3), percent(1, 200), percent(0, 0)) == (33, 1, None)


def test_the_middle_of_an_even_count_lies_between_its_two_middle_values():
    assert (middle([9, 1, 4, 2]), middle([])) == (3.0, None)
