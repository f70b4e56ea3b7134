"""Which packs to buy, and what a big pack really costs."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.packs import Pack, cheapest_packs, eaten_up, fewest_packs, pack_cost

KG = 1_000_000
SMALL, MIDDLE, LARGE = Pack(5 * KG, 900), Pack(15 * KG, 2400), Pack(20 * KG, 3000)


def chosen(basket):
    return [(pack.amount // KG, count) for pack, count in basket.packs]


def test_the_cheapest_way_may_mix_sizes() -> None:
    """Worked by hand: 23 kg as 20 + 5 is 39.00; 15 + 2 x 5 is 42.00; 5 x 5 is 45.00; 2 x 15 is 48.00."""
    found = cheapest_packs(23 * KG, [SMALL, MIDDLE, LARGE])

    assert (chosen(found), found.price_minor, found.amount) == ([(20, 1), (5, 1)], 3900, 25 * KG)


def test_the_fewest_packs_have_the_least_over_among_equals() -> None:
    """Worked by hand: two packs cover 28 kg as 15 + 15 (2 over), 20 + 15 (7) or 20 + 20 (12)."""
    found = fewest_packs(28 * KG, [SMALL, MIDDLE, LARGE])

    assert (chosen(found), found.count) == ([(15, 2)], 2)


def test_equal_prices_are_settled_by_fewer_packs() -> None:
    """10 kg at 18.00 is as dear as two of 5 kg."""
    found = cheapest_packs(10 * KG, [SMALL, Pack(10 * KG, 1800)])

    assert chosen(found) == [(10, 1)]


def test_packs_without_a_price_are_nothing_to_compare() -> None:
    assert cheapest_packs(KG, [Pack(5 * KG)]) is None
    assert chosen(cheapest_packs(KG, [Pack(KG), SMALL])) == [(5, 1)]


def test_nothing_needed_and_nothing_sold_are_nothing_to_buy() -> None:
    assert cheapest_packs(0, [SMALL]) is None
    assert fewest_packs(KG, []) is None
    with pytest.raises(ValueError, match="holds something"):
        fewest_packs(5, [Pack(0)])


def test_a_size_far_too_small_for_the_need_is_left_out() -> None:
    """A tonne is not carried in by the gram, even where the gram is a little cheaper."""
    found = cheapest_packs(1_000 * KG, [Pack(1_000, 1), Pack(20 * KG, 20_001)])

    assert chosen(found) == [(20, 50)]


@given(
    needed=st.integers(1, 60),
    packs=st.lists(
        st.builds(Pack, amount=st.integers(1, 25), price_minor=st.integers(1, 40)),
        min_size=1,
        max_size=3,
        unique_by=lambda pack: pack.amount,
    ),
)
def test_no_other_choice_is_cheaper_or_has_fewer_packs(needed, packs) -> None:
    """Every choice of counts up to what covers the need alone is tried."""
    ways = [
        counts
        for counts in itertools.product(*(range(-(-needed // pack.amount) + 1) for pack in packs))
        if sum(count * pack.amount for count, pack in zip(counts, packs, strict=True)) >= needed
    ]

    def of(counts):
        pairs = list(zip(counts, packs, strict=True))
        return sum(n * p.price_minor for n, p in pairs), sum(counts), sum(n * p.amount for n, p in pairs)

    cheapest, fewest = cheapest_packs(needed, packs), fewest_packs(needed, packs)

    assert (cheapest.price_minor, cheapest.count, cheapest.amount) == min(of(counts) for counts in ways)
    assert (fewest.count, fewest.amount) == min(of(counts)[1:] for counts in ways)


def test_a_big_pack_is_eaten_up_by_its_opened_life() -> None:
    """Worked by hand: at 0.05 kg a day 9 kg of 20 are used in 180 days: 50.00 / 9 = 5.56 a kg, not 2.50.

    5 kg at 18.00 are 3.60 a kg, and gone in 100 days.
    """
    big, small = Pack(20 * KG, 5000), Pack(5 * KG, 1800)

    found = eaten_up([small, big], 50_000, 180)

    assert (found.bigger.pack, found.smaller.pack) == (big, small)
    assert (found.bigger.per_thousand_minor, found.bigger.used) == (250, 9 * KG)
    assert round(found.bigger.per_used_minor) == 556
    assert (found.smaller.per_used_minor, found.smaller.lasts_days) == (360, 100)
    assert (found.bigger.outlives_opened_life, found.smaller.outlives_opened_life) == (True, False)


@pytest.mark.parametrize(
    ("mean_daily", "life"),
    [(200_000, 180), (50_000, None), (0, 180)],
    ids=["used up in time", "keeps", "not used"],
)
def test_a_big_pack_that_is_used_up_stays_the_cheaper(mean_daily, life) -> None:
    assert eaten_up([Pack(5 * KG, 1800), Pack(20 * KG, 5000)], mean_daily, life) is None


def test_packs_without_prices_say_nothing_of_cost() -> None:
    assert eaten_up([Pack(20 * KG)], 50_000, 180) is None


@given(st.integers(1, 10**9), st.integers(0, 10**6), st.floats(1, 10**7), st.integers(1, 1000))
def test_what_is_used_never_costs_less_than_what_was_bought(amount, price, mean_daily, life) -> None:
    cost = pack_cost(Pack(amount, price), mean_daily, life)

    assert cost.per_used_minor >= cost.per_thousand_minor
    assert cost.per_used_minor * cost.used == Fraction(price * 1_000_000)


@pytest.mark.parametrize("nonsense", [(Pack(0, 1), 1.0, 1), (Pack(1, 1), 0.0, 1), (Pack(1, 1), 1.0, 0)])
def test_the_cost_of_nonsense_is_a_fault(nonsense) -> None:
    with pytest.raises(ValueError, match="holds something"):
        pack_cost(*nonsense)
