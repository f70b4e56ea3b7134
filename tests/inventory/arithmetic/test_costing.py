"""Oldest lot first."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.costing import ReceivedLot, UsedMoreThanReceived, fifo_cost, fifo_costs, lot_cost

# Source: Accounting Principles: A Business Perspective (open textbook), ch. 7, exhibit 51.
TEXTBOOK = [
    ReceivedLot(units, round(units * unit_cost * 100))
    for units, unit_cost in ((10, 8.00), (10, 8.50), (20, 8.40), (10, 9.00), (20, 8.80), (10, 9.10))
]
# Source: OpenStax, Principles of Accounting vol. 1, ch. 10 (from memory): 150 at 21, 225 at 27, 210 at 33.
SECOND_SET = [ReceivedLot(150, 3150_00), ReceivedLot(225, 6075_00), ReceivedLot(210, 6930_00)]

LOTS = st.lists(st.builds(ReceivedLot, st.integers(1, 10**7), st.integers(0, 10**6)), min_size=1, max_size=6)


def test_the_textbooks_cost_of_goods_and_stock_left() -> None:
    """Source: as above: 80 units for 690.00; 60 sold cost 511.00, left 179.00."""
    cost = fifo_cost(TEXTBOOK, 60)

    assert sum(lot.price_minor for lot in TEXTBOOK) == 690_00
    assert cost.used_minor == 511_00
    assert cost.left_minor == 179_00
    assert cost.left_amount == 20


def test_the_second_textbooks_sales_one_after_the_other() -> None:
    """Source: as above: available 16,155; FIFO cost 7,200, left 8,955."""
    costs = fifo_costs(SECOND_SET, [120, 180])

    assert sum(lot.price_minor for lot in SECOND_SET) == 16_155_00
    assert sum(cost.used_minor for cost in costs) == 7_200_00
    assert costs[-1].left_minor == 8_955_00


@given(LOTS, st.lists(st.integers(0, 10**6), min_size=1, max_size=8))
def test_used_and_left_add_up_to_what_was_paid(lots: list[ReceivedLot], uses: list[int]) -> None:
    received = sum(lot.amount for lot in lots)
    uses = [min(use, received // len(uses)) for use in uses]

    costs = fifo_costs(lots, uses)

    paid = sum(lot.price_minor for lot in lots)
    assert sum(cost.used_minor for cost in costs) + costs[-1].left_minor == paid
    assert abs(sum(cost.used_minor for cost in costs) - sum(cost.used_exact for cost in costs)) <= Fraction(
        1, 2
    )
    assert costs[-1].left_amount == received - sum(uses)


@given(LOTS)
def test_using_everything_leaves_nothing(lots: list[ReceivedLot]) -> None:
    cost = fifo_cost(lots, sum(lot.amount for lot in lots))

    assert (cost.left_amount, cost.left_minor) == (0, 0)


def test_cost_is_exact_and_rounded_half_to_even_once() -> None:
    """Worked here: half of a lot for 0.05 is 0.025, which goes to the even 0.02; of 0.07 to 0.04."""
    assert fifo_cost([ReceivedLot(2, 5)], 1).used_minor == 2
    assert fifo_cost([ReceivedLot(2, 7)], 1).used_minor == 4
    assert lot_cost(ReceivedLot(3, 100), 1) == Fraction(100, 3)


def test_thirds_of_a_pound_do_not_lose_a_penny() -> None:
    assert [cost.used_minor for cost in fifo_costs([ReceivedLot(3, 100)], [1, 1, 1])] == [33, 34, 33]


def test_using_more_than_came_in_is_refused() -> None:
    with pytest.raises(UsedMoreThanReceived) as refused:
        fifo_cost(TEXTBOOK, 81)

    assert refused.value.facts == {"used": 81, "received": 80}


def test_amounts_below_zero_are_a_fault() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        fifo_cost(TEXTBOOK, -1)
    with pytest.raises(ValueError, match="lots hold something"):
        fifo_cost([ReceivedLot(0, 5)], 0)
