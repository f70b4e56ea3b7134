"""Shares that add up exactly."""

from __future__ import annotations

import doctest
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic import drawing
from inventory.arithmetic.drawing import DrawAboveHolding, draw_in_proportion, share_out

WEIGHTS = st.builds(Fraction, st.integers(0, 1000), st.sampled_from([1, 3, 7, 997]))
HOLDINGS = st.lists(st.integers(min_value=0, max_value=10**9), min_size=1, max_size=12)


def test_a_draw_takes_from_each_lot_in_proportion_and_ties_go_to_the_first() -> None:
    assert draw_in_proportion([("A", 7500), ("B", 2500)], 1000) == [("A", 750), ("B", 250)]
    assert draw_in_proportion([("A", 1), ("B", 1), ("C", 1)], 2) == [("A", 1), ("B", 1)]


def test_the_largest_remainder_gets_what_is_left_over() -> None:
    """Source: Balinski and Young, Fair Representation (1982), Hamilton's method (from memory); worked here.

    Weights 53, 24, 23 share 10: quotas 5.3, 2.4, 2.3; one left over goes to 0.4.
    """
    assert share_out(10, [53, 24, 23]) == [5, 3, 2]


# State: population, quota as printed, seats. Source: COMAP, For All Practical Purposes, 10th ed., ch. 14,
# example 6, table 14.5: the bill of 1792 that was vetoed; populations: United States census of 1790.
CENSUS_1790 = {
    "New Jersey": (179_570, 5.959, 6),
    "Virginia": (630_560, 20.926, 21),
    "Connecticut": (236_841, 7.860, 8),
    "South Carolina": (206_236, 6.844, 7),
    "Delaware": (55_540, 1.843, 2),
    "Vermont": (85_533, 2.839, 3),
    "Massachusetts": (475_327, 15.774, 16),
    "North Carolina": (353_523, 11.732, 12),
    "New Hampshire": (141_822, 4.707, 5),
    "Pennsylvania": (432_879, 14.366, 14),
    "Georgia": (70_835, 2.351, 2),
    "Kentucky": (68_705, 2.280, 2),
    "Rhode Island": (68_446, 2.271, 2),
    "Maryland": (278_514, 9.243, 9),
    "New York": (331_589, 11.004, 11),
}


def test_the_house_of_1792_is_apportioned_as_printed() -> None:
    """Source: as above: 120 seats for 3,615,920 people by Hamilton's method."""
    people = [population for population, _, _ in CENSUS_1790.values()]
    assert sum(people) == 3_615_920
    for population, quota, _ in CENSUS_1790.values():
        assert abs(120 * population / 3_615_920 - quota) < 0.001

    assert share_out(120, people) == [seats for _, _, seats in CENSUS_1790.values()]


@given(HOLDINGS, st.data())
def test_parts_add_up_exactly_and_none_is_above_its_holding(
    holdings: list[int], chosen: st.DataObject
) -> None:
    amount = chosen.draw(st.integers(min_value=0, max_value=sum(holdings)))

    parts = dict(draw_in_proportion(list(enumerate(holdings)), amount))

    assert sum(parts.values()) == amount
    assert all(0 < part <= holdings[lot] for lot, part in parts.items())


@given(HOLDINGS, st.data())
def test_each_part_is_its_exact_share_rounded_down_or_up(holdings: list[int], chosen: st.DataObject) -> None:
    amount = chosen.draw(st.integers(min_value=0, max_value=sum(holdings)))

    parts = dict(draw_in_proportion(list(enumerate(holdings)), amount))

    for lot, holding in enumerate(holdings):
        exact = Fraction(amount * holding, max(1, sum(holdings)))
        assert abs(parts.get(lot, 0) - exact) < 1


@given(HOLDINGS)
def test_emptying_the_tub_empties_each_lot(holdings: list[int]) -> None:
    drawn = draw_in_proportion(list(enumerate(holdings)), sum(holdings))

    assert drawn == [(lot, holding) for lot, holding in enumerate(holdings) if holding]


def test_more_than_is_held_is_refused_with_both_figures() -> None:
    with pytest.raises(DrawAboveHolding) as refused:
        draw_in_proportion([("A", 600), ("B", 399)], 1000)

    assert refused.value.facts == {"amount": 1000, "held": 999}


def test_nothing_drawn_touches_no_lot() -> None:
    assert draw_in_proportion([("A", 5)], 0) == []


@given(st.integers(-(10**9), 10**9), st.lists(WEIGHTS, min_size=1, max_size=8))
def test_a_whole_is_shared_without_loss_by_any_weights(whole: int, weights: list[Fraction]) -> None:
    if not any(weights):
        weights = [*weights, Fraction(1)]

    assert sum(share_out(whole, weights)) == whole


def test_nothing_to_share_by_is_a_fault() -> None:
    with pytest.raises(ValueError, match="every weight is zero"):
        share_out(1, [0, 0])
    with pytest.raises(ValueError, match="zero or more"):
        share_out(1, [2, -1])
    with pytest.raises(ValueError, match="zero or more"):
        draw_in_proportion([("A", 1)], -1)


def test_the_examples_in_the_docstrings_hold() -> None:
    tried = doctest.testmod(drawing)

    assert tried.attempted > 0
    assert tried.failed == 0
