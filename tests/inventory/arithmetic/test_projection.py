"""When a material runs out, when to order it, and how much."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inventory.arithmetic.projection import (
    NoWorkingDay,
    Pack,
    order_by_day,
    project_balance,
    reorder_point,
    suggested_packs,
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


def test_the_textbooks_reorder_point() -> None:
    """Source: textbook exercise: d 2400/365 a day, L 7 days, s 4 a day, 98 %: sd 10.583, ROP 67.73.

    The exercise takes z as 2.05 from its table and rounds its steps; with all of z (2.0537) it is 67.76.
    """
    point = reorder_point(2400 / 365, 4, 7, 0.98)

    assert point.z == pytest.approx(2.0537, abs=1e-4)
    assert point.safety_stock / point.z == pytest.approx(10.583, abs=0.001)
    assert point.level == pytest.approx(67.73, abs=0.04)
    assert point.order_at == 68


@pytest.mark.parametrize(("service", "z"), [(0.90, 1.2816), (0.95, 1.6449), (0.98, 2.0537), (0.99, 2.3263)])
def test_z_is_that_of_the_normal_table(service: float, z: float) -> None:
    """Source: standard normal table; `scipy.stats.norm.ppf`."""
    assert reorder_point(0, 1, 1, service).z == pytest.approx(z, abs=1e-4)
    assert reorder_point(0, 1, 1, service).z == pytest.approx(stats.norm.ppf(service), abs=1e-9)


def test_a_steady_use_needs_no_safety_stock() -> None:
    assert reorder_point(3, 0, 5).level == 15


@pytest.mark.parametrize(("mean", "sd", "lead", "service"), [(1, 1, 1, 1.0), (1, 1, 1, 0.4), (-1, 1, 1, 0.9)])
def test_reorder_points_of_nonsense_are_faults(mean: float, sd: float, lead: float, service: float) -> None:
    with pytest.raises(ValueError, match=r"probability|zero or more"):
        reorder_point(mean, sd, lead, service)


def test_packs_cover_the_need_and_the_cheaper_way_comes_first() -> None:
    """Worked here: 38 kg as 8 x 5 kg at 9.00 is 72.00, as 2 x 20 kg at 30.00 is 60.00."""
    small, large = Pack(5_000_000, 900, "5 kg"), Pack(20_000_000, 3000, "20 kg")

    offers = suggested_packs(38_000_000, [small, large])

    assert [(offer.pack.name, offer.count, offer.price_minor) for offer in offers] == [
        ("20 kg", 2, 6000),
        ("5 kg", 8, 7200),
    ]
    assert [offer.price_per_thousand_minor for offer in offers] == [150, 180]
    assert offers[0].amount == 40_000_000


def test_a_pack_that_outlives_its_opened_life_comes_last_and_says_so() -> None:
    """Worked here: 20 kg at 0.1 kg a day last 200 days, 5 kg last 50; opened powder keeps 90."""
    packs = [Pack(20_000_000, 3000, "20 kg"), Pack(5_000_000, 900, "5 kg")]

    offers = suggested_packs(8_000_000, packs, mean_daily=100_000, opened_life_days=90)

    assert [(offer.pack.name, offer.outlives_opened_life) for offer in offers] == [
        ("5 kg", False),
        ("20 kg", True),
    ]
    assert offers[1].days_one_pack_lasts == 200


def test_nothing_needed_is_nothing_to_buy() -> None:
    assert suggested_packs(0, [Pack(1, 1)]) == []
    with pytest.raises(ValueError, match="holds something"):
        suggested_packs(5, [Pack(0, 1)])
