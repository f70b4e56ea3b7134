"""Price against cost, and what a difference from the standard cost is made of."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.arithmetic.costing import WholeLine
from production.arithmetic.pricing import differences, margin_of, price_for_margin


@pytest.mark.parametrize(("cost", "margin", "price"), [(4500, 0.35, 6923), (2417, 0.08, 2627)])
def test_the_price_leaves_the_margin_wanted(cost: int, margin: float, price: int) -> None:
    """T. J. Biehler, The Mathematics of Money (2008; title from memory, page seen), examples 8.2.7 and 8.2.8.

    45.00 at a margin of 35 % sells for 69.23, 24.17 at 8 % for 26.27; the book rounds to the nearest cent.
    """
    assert price_for_margin(cost, margin) - price in (0, 1)
    assert margin_of(price_for_margin(cost, margin), cost) >= margin


def test_a_price_below_cost_leaves_less_than_nothing() -> None:
    """Worked here: 8.00 for what costs 10.00 loses a quarter of the price."""
    assert margin_of(800, 1000) == -0.25
    assert margin_of(0, 1000) is None


@pytest.mark.parametrize(("cost", "margin"), [(100, 1.0), (100, -0.1), (-1, 0.5)])
def test_a_margin_that_no_price_leaves_is_a_fault(cost: int, margin: float) -> None:
    with pytest.raises(ValueError, match="a part of the price"):
        price_for_margin(cost, margin)


@pytest.mark.parametrize(
    ("should", "was", "by_amount", "by_price"),
    [
        # 430 units at 6.90 should have been used, 450 were, for 2,925: price -180, quantity +138, total -42
        ((296_700, 430), (292_500, 450), 13_800, -18_000),
        # 185,000 lb at 6.00, used 183,200 lb at 5.80: quantity -10,800, price -36,640, total -47,440
        ((111_000_000, 185_000), (106_256_000, 183_200), -1_080_000, -3_664_000),
        # 18,500 hours at 16.50, worked 18,930 at 16.90: time +7,095, rate +7,572
        ((30_525_000, 18_500), (31_991_700, 18_930), 709_500, 757_200),
    ],
)
def test_a_difference_is_parted_into_amount_and_price(should, was, by_amount, by_price) -> None:
    """Warren, Reeve and Duchac, Accounting, chapter on standard costs (title from memory): exercise 23-5 and
    the problem on materials and labour; the worked answers for materials were seen, those for labour are
    worked here by the same formula.
    """
    (found,) = differences(
        [WholeLine("powder", should[0], Fraction(should[1]), "g")],
        [WholeLine("powder", was[0], Fraction(was[1]), "g")],
    )

    assert (found.by_amount, found.by_price) == (by_amount, by_price)
    assert found.minor == was[0] - should[0]


def test_what_only_one_side_has_is_a_difference_of_amount() -> None:
    found = differences([WholeLine("sealer", 40, Fraction(12), "ml")], [WholeLine("scrap", 70)])

    assert [(one.name, one.by_amount, one.by_price) for one in found] == [
        ("scrap", 70, 0),
        ("sealer", -40, 0),
    ]


LINES = st.lists(
    st.builds(
        WholeLine,
        st.sampled_from(["powder", "sealer", "hands", "wear"]),
        st.integers(0, 10_000),
        st.fractions(0, 500, max_denominator=9),
    ),
    max_size=6,
)


@settings(max_examples=40)
@given(LINES, LINES)
def test_the_differences_add_up_to_that_of_the_totals(should: list[WholeLine], was: list[WholeLine]) -> None:
    found = differences(should, was)

    assert sum(one.minor for one in found) == sum(x.minor for x in was) - sum(x.minor for x in should)
