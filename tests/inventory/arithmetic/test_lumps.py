"""Whether the big tub is really cheaper."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.lumps import Opening, TubSize, is_the_big_tub_cheaper, lost_by_age

KG = 1_000_000
# Worked here: 25 kg for 40.00 is 1.60 a kilogram, 4 % lumps make it 1.6667; 5 kg for 9.50 is 1.90 without.
BIG = TubSize(25 * KG, bought=25 * KG, paid_minor=40_00, out=20 * KG, lumps=800_000)
SMALL = TubSize(5 * KG, bought=10 * KG, paid_minor=19_00, out=10 * KG, lumps=0)


def test_what_the_sieve_kept_is_paid_by_what_it_let_through() -> None:
    assert BIG.bought_minor == 160
    assert BIG.lost == Fraction(1, 25)
    assert BIG.used_minor == Fraction(160 * 25, 24)
    assert SMALL.used_minor == SMALL.bought_minor == 190


def test_a_big_tub_with_few_lumps_is_cheaper() -> None:
    verdict = is_the_big_tub_cheaper([SMALL, BIG])

    assert verdict is not None
    assert (verdict.big, verdict.small) == (BIG, SMALL)
    assert verdict.saves_minor == 190 - Fraction(500, 3)


def test_enough_lumps_make_it_dearer() -> None:
    """Worked here: at 16 % lost, 1.60 becomes 1.9048, more than 1.90."""
    lumpy = TubSize(25 * KG, 25 * KG, 40_00, out=20 * KG, lumps=3_200_000)

    verdict = is_the_big_tub_cheaper([lumpy, SMALL])

    assert verdict is not None
    assert verdict.saves_minor == 190 - Fraction(160 * 100, 84)
    assert verdict.saves_minor < 0


def test_it_is_compared_with_the_smaller_one_that_is_cheapest_to_use() -> None:
    dear = TubSize(KG, KG, 3_00)

    verdict = is_the_big_tub_cheaper([dear, BIG, SMALL])

    assert verdict is not None
    assert verdict.small == SMALL


def test_no_answer_without_two_prices_or_before_the_big_one_was_opened() -> None:
    unpriced = TubSize(5 * KG, 5 * KG, 0, out=KG)
    unopened = TubSize(25 * KG, 25 * KG, 40_00)
    all_lumps = TubSize(50 * KG, 50 * KG, 60_00, out=KG, lumps=KG)

    assert is_the_big_tub_cheaper([]) is None
    assert is_the_big_tub_cheaper([BIG]) is None
    assert is_the_big_tub_cheaper([BIG, unpriced]) is None
    assert is_the_big_tub_cheaper([unopened, SMALL]) is None
    assert is_the_big_tub_cheaper([all_lumps, BIG]) is None


@given(st.integers(1, 10**9), st.integers(0, 10**6), st.integers(1, 10**9), st.data())
def test_lumps_never_make_a_kilogram_cheaper(bought: int, paid: int, out: int, chosen: st.DataObject) -> None:
    size = TubSize(KG, bought, paid, out, chosen.draw(st.integers(0, out - 1)))

    assert size.used_minor >= size.bought_minor


def an_opening(age_days: int, out: int, lumps: int) -> Opening:
    return Opening("B4", 25 * KG, age_days, 1, out, lumps)


def test_the_part_lost_is_gathered_by_age_and_the_last_stretch_has_no_end() -> None:
    openings = [an_opening(0, 100, 0), an_opening(14, 100, 2), an_opening(15, 50, 5), an_opening(400, 10, 5)]

    assert lost_by_age(openings, (0, 15, 30, 90)) == [
        (0, 2, Fraction(2, 200)),
        (15, 1, Fraction(5, 50)),
        (30, 0, None),
        (90, 1, Fraction(1, 2)),
    ]
    assert an_opening(0, 0, 0).lost == 0
