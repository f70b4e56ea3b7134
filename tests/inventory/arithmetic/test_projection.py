"""When a material runs out, and when to order it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.projection import (
    NoWorkingDay,
    in_by_day,
    order_by_day,
    project_balance,
)

MONDAY = date(2026, 10, 5)


def day(offset: int) -> date:
    return MONDAY + timedelta(days=offset)


def is_weekday(one: date) -> bool:
    return one.weekday() < 5


def test_a_balance_falls_by_draws_and_rises_by_deliveries() -> None:
    projection = project_balance(
        10_000,
        [(day(0), 3_000), (day(2), 5_000), (day(2), 1_000), (day(4), 4_000)],
        [(day(3), 2_000)],
        2_000,
        day(0),
        6,
    )

    assert [line.balance for line in projection.days] == [7_000, 7_000, 1_000, 3_000, -1_000, -1_000]
    assert projection.first_below == day(2)
    assert projection.first_empty == day(4)
    assert projection.first_short == day(4)
    assert projection.least == -1_000


def test_used_up_exactly_is_empty_but_not_short() -> None:
    projection = project_balance(5_000, [(day(1), 5_000)], [], 0, day(0), 3)

    assert projection.first_below is None
    assert projection.first_empty == day(1)
    assert projection.first_short is None


def test_at_the_safety_level_is_not_below_it() -> None:
    assert project_balance(5_000, [(day(1), 3_000)], [], 2_000, day(0), 3).first_below is None
    assert project_balance(5_000, [(day(1), 3_001)], [], 2_000, day(0), 3).first_below == day(1)


def test_what_is_overdue_counts_today_and_what_is_beyond_the_horizon_not_at_all() -> None:
    projection = project_balance(5_000, [(day(-3), 1_000), (day(9), 9_000)], [(day(-1), 500)], 0, day(0), 3)

    assert [line.balance for line in projection.days] == [4_500, 4_500, 4_500]


@given(
    opening=st.integers(0, 10**6),
    draws=st.lists(st.tuples(st.integers(0, 9), st.integers(0, 10**5)), max_size=20),
    deliveries=st.lists(st.tuples(st.integers(0, 9), st.integers(0, 10**5)), max_size=20),
)
def test_what_is_left_at_the_end_is_opening_and_in_less_out(
    opening: int, draws: list[tuple[int, int]], deliveries: list[tuple[int, int]]
) -> None:
    projection = project_balance(
        opening, [(day(n), a) for n, a in draws], [(day(n), a) for n, a in deliveries], 0, day(0), 10
    )

    assert projection.days[-1].balance == opening + sum(a for _, a in deliveries) - sum(a for _, a in draws)


def test_negative_moves_and_empty_horizons_are_faults() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        project_balance(1, [(day(0), -1)], [], 0, day(0), 1)
    with pytest.raises(ValueError, match="at least one day"):
        project_balance(1, [], [], 0, day(0), 0)


@pytest.mark.parametrize(
    ("first_below", "lead_days", "slack_days", "order_by"),
    [
        # Counted by hand on the calendar of October 2026.
        (date(2026, 10, 16), 4, 0, date(2026, 10, 12)),  # Friday, four working days back is Monday
        (date(2026, 10, 13), 4, 0, date(2026, 10, 7)),  # Tuesday, over a weekend
        (date(2026, 10, 16), 4, 1, date(2026, 10, 9)),  # with a day of slack
        (date(2026, 10, 18), 1, 0, date(2026, 10, 16)),  # from a Sunday
        (date(2026, 10, 18), 0, 0, date(2026, 10, 16)),  # no lead time, but nobody orders on Sunday
        (date(2026, 10, 16), 0, 0, date(2026, 10, 16)),
    ],
)
def test_the_order_by_day_counts_back_working_days(
    first_below: date, lead_days: int, slack_days: int, order_by: date
) -> None:
    answer = order_by_day(first_below, lead_days=lead_days, slack_days=slack_days, is_working_day=is_weekday)

    assert answer == order_by


def test_without_a_calendar_days_are_days() -> None:
    assert order_by_day(date(2026, 10, 16), lead_days=4, slack_days=2) == date(2026, 10, 10)


def test_a_calendar_without_working_days_is_refused() -> None:
    with pytest.raises(NoWorkingDay):
        order_by_day(MONDAY, lead_days=1, is_working_day=lambda one: False)


@given(st.integers(0, 400), st.integers(0, 30), st.integers(0, 5))
def test_what_is_ordered_on_the_last_day_to_order_is_in_by_the_day_it_is_needed(
    offset: int, lead: int, slack: int
) -> None:
    # Nobody needs it on a day nobody is in.
    needed = next(day(offset + n) for n in range(3) if is_weekday(day(offset + n)))
    options = {"lead_days": lead, "slack_days": slack, "is_working_day": is_weekday}

    ordered = order_by_day(needed, **options)

    assert in_by_day(ordered, **options) <= needed
    # A working day later is too late.
    later = next(ordered + timedelta(days=n) for n in range(1, 8) if is_weekday(ordered + timedelta(days=n)))
    assert in_by_day(later, **options) > needed


def test_an_order_on_a_closed_day_leaves_on_the_next_open_one() -> None:
    assert in_by_day(day(5), lead_days=1, is_working_day=is_weekday) == day(8)
    assert in_by_day(day(5), lead_days=1) == day(6)
    with pytest.raises(NoWorkingDay):
        in_by_day(day(5), lead_days=1, is_working_day=lambda one: False)
