"""Oldest lot first."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.costing import (
    Layer,
    ReceivedLot,
    UsedMoreThanReceived,
    fifo_cost,
    fifo_costs,
    left_by_lot,
    lot_cost,
    mean_price,
    next_cost,
)

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


def test_what_is_left_is_what_came_in_last() -> None:
    """Source: as `TEXTBOOK`: 20 units left, 179.00: ten at 9.10 and ten at 8.80."""
    left, beyond = left_by_lot(reversed(TEXTBOOK), 20)

    assert [(one.place, one.amount, one.worth_minor) for one in left] == [(0, 10, 91_00), (1, 10, 88_00)]
    assert beyond == 0


def test_the_weighted_average_of_the_textbook() -> None:
    """Worked here from the same data: 690.00 over 80 units is 8.625; 60 sold cost 517.50, left 172.50."""
    mean = mean_price(TEXTBOOK) / 1_000_000

    assert mean == Fraction(862_5, 10)
    assert (60 * mean, 20 * mean) == (517_50, 172_50)


def test_the_moving_average_is_the_mean_of_what_is_there_at_each_receipt() -> None:
    """Source: as `TEXTBOOK`, same chapter: sales of 10, 20, 10, 20 after the 2nd, 3rd, 4th and 5th receipt
    cost 511.42 and leave 178.58 (the sale sizes are inferred; unit after the fifth 8.929).
    """
    held, worth, cost = 0, Fraction(0), Fraction(0)
    for place, lot in enumerate(TEXTBOOK):
        held, worth = held + lot.amount, worth + lot.price_minor
        sold = {1: 10, 2: 20, 3: 10, 4: 20}.get(place, 0)
        mean = mean_price([ReceivedLot(held, 1)]) * worth / 1_000_000
        held, worth, cost = held - sold, worth - sold * mean, cost + sold * mean

    assert abs(cost - 511_42) < Fraction(1, 2)
    assert abs(worth - 178_58) < Fraction(1, 2)


def test_more_than_ever_came_in_has_no_price() -> None:
    left, beyond = left_by_lot([ReceivedLot(10, 5_00)], 12)

    assert [(one.amount, one.worth_minor) for one in left] == [(10, 5_00)]
    assert beyond == 2
    assert left_by_lot([], 0) == ([], 0)
    with pytest.raises(ValueError, match="zero or more"):
        left_by_lot([], -1)
    with pytest.raises(ValueError, match="nothing came in"):
        mean_price([])


@given(LOTS, st.data())
def test_what_is_left_lot_by_lot_is_what_the_whole_reckoning_leaves(
    lots: list[ReceivedLot], chosen: st.DataObject
) -> None:
    received = sum(lot.amount for lot in lots)
    held = chosen.draw(st.integers(0, received))

    left, beyond = left_by_lot(reversed(lots), held)

    assert (sum(one.amount for one in left), beyond) == (held, 0)
    assert sum(one.worth_minor for one in left) == fifo_cost(lots, received - held).left_minor


def test_the_next_to_be_used_costs_what_the_textbooks_sales_cost() -> None:
    """Source: as above: 60 of the 80 units cost 511.00, the oldest first; all of them 690.00."""
    layers = [Layer(lot.amount, Fraction(lot.price_minor, lot.amount)) for lot in TEXTBOOK]

    assert next_cost(layers, Fraction(60)) == 511_00
    assert next_cost(layers, Fraction(80)) == 690_00
    # what goes beyond the last lot is reckoned at its price, 9.10 each
    assert next_cost(layers, Fraction(82)) == 690_00 + 2 * 9_10
    with pytest.raises(ValueError, match="no lot says a price"):
        next_cost([], Fraction(1))
