"""Shares with their ranges as a picture."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.shapes import Ring, Words
from production.arithmetic.wilson import share_of
from production.drawings.outcome_rates import SIDE, RateFacts, RateLine, rates_picture
from tests.inventory.drawings.reach import of_class, outside

EARLY = RateLine("2 to 3 weeks", share_of(4, 96), stands_out=False)
LATE = RateLine("10 to 12 weeks", share_of(9, 20), stands_out=True)


def test_a_ring_stands_at_the_share_on_one_scale_for_all() -> None:
    picture = rates_picture(RateFacts([EARLY, LATE], "Rates."), 334)
    rings = [shape.x for shape in picture.shapes if isinstance(shape, Ring)]

    # The highest end is 65.8 %, so that the scale goes to 80 %.
    assert rings == [SIDE + 4 / 96 / 0.8 * 314, SIDE + 9 / 20 / 0.8 * 314]


def test_what_stands_out_says_so_in_words_and_by_its_line() -> None:
    picture = rates_picture(RateFacts([EARLY, LATE], "Rates."), 470)
    words = [shape.text for shape in picture.shapes if isinstance(shape, Words)]

    assert words[-4:] == ["2 to 3 weeks", "4 of 96", "10 to 12 weeks", "9 of 20, worse than the others"]
    assert len(of_class(picture, "d-line2")) == 1


@settings(max_examples=20)
@given(st.lists(st.tuples(st.text("abc mn", max_size=80), st.integers(0, 9)), max_size=5))
def test_nothing_leaves_the_frame(groups: list[tuple[str, int]]) -> None:
    lines = [RateLine(words, share_of(count, 9), stands_out=count > 6) for words, count in groups]

    assert outside(rates_picture(RateFacts(lines, "Rates."), 334)) == []
