"""The classic reorder point, safety stock and order quantity."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from stockpyl.eoq import economic_order_quantity as library_quantity
from stockpyl.newsvendor import newsvendor_normal

from inventory.arithmetic.order_quantity import economic_order_quantity, reorder_point


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


def test_an_uncertain_lead_time_asks_for_more() -> None:
    """Worked in the reference values: d 20, s 4, L 9 days, sL 2 days, 95 %: sd 41.761, safety stock 68.69."""
    point = reorder_point(20, 4, 9, 0.95, lead_sd_days=2)

    assert point.safety_stock / point.z == pytest.approx(41.761, abs=0.01)
    assert point.safety_stock == pytest.approx(68.69, abs=0.01)
    assert point.level == pytest.approx(180 + 68.69, abs=0.01)


@given(mean=st.floats(0.1, 500), sd=st.floats(0.1, 50), lead=st.floats(1, 60), service=st.floats(0.55, 0.995))
def test_the_reorder_point_is_the_critical_level_of_the_reference_library(mean, sd, lead, service) -> None:
    """Source: `stockpyl.newsvendor.newsvendor_normal`: with a shortage cost p and a holding cost h its base
    level is the p / (p + h) quantile of the use over the lead time, which is what the reorder point is."""
    level, _ = newsvendor_normal(
        holding_cost=1 - service, stockout_cost=service, demand_mean=mean * lead, demand_sd=sd * lead**0.5
    )

    assert reorder_point(mean, sd, lead, service).level == pytest.approx(level, rel=1e-6)


@pytest.mark.parametrize(
    ("order_cost", "holding_cost", "demand", "quantity", "cost"),
    [(8, 0.225, 1300, 304.0468, 68.4105), (5, 4, 2400, 77.46, None)],
)
def test_the_textbooks_order_quantity(order_cost, holding_cost, demand, quantity, cost) -> None:
    """Source: Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed. 2019, example 3.1."""
    found = economic_order_quantity(order_cost, holding_cost, demand)

    assert found.quantity == pytest.approx(quantity, abs=0.001)
    if cost:
        assert found.cost == pytest.approx(cost, abs=0.001)


@given(st.floats(0.1, 500), st.floats(0.01, 50), st.floats(1, 100_000))
def test_the_order_quantity_is_that_of_the_reference_library(order_cost, holding_cost, demand) -> None:
    """Source: `stockpyl.eoq.economic_order_quantity`."""
    quantity, cost = library_quantity(order_cost, holding_cost, demand)

    found = economic_order_quantity(order_cost, holding_cost, demand)

    assert (found.quantity, found.cost) == (pytest.approx(quantity), pytest.approx(cost))


def test_half_as_much_again_costs_a_twelfth_more() -> None:
    """Source: Snyder & Shen, section 3.2: b times the best quantity costs (b + 1/b) / 2; b 1.5: 1.0833."""
    best = economic_order_quantity(8, 0.225, 1300)
    quantity = 1.5 * best.quantity

    cost = 8 * 1300 / quantity + 0.225 * quantity / 2

    assert cost / best.cost == pytest.approx(1.0833, abs=1e-4)


@pytest.mark.parametrize("nonsense", [(0, 1, 1), (1, 0, 1), (1, 1, 0), (-1, 1, 1)])
def test_an_order_quantity_of_nothing_is_a_fault(nonsense) -> None:
    with pytest.raises(ValueError, match="above zero"):
        economic_order_quantity(*nonsense)
