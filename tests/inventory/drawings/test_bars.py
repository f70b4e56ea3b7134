"""Bars over a line."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.bars import BASE, TOP, BarsFacts, bars_picture
from inventory.drawings.shapes import Box, Words
from tests.inventory.drawings.reach import outside

FACTS = BarsFacts(
    says="Used: Aug 10, Sep 40, Oct 0", bars=[("Aug", 10), ("Sep", 40), ("Oct", 0)], highest_words="40"
)


def boxes(facts: BarsFacts) -> list[Box]:
    return [shape for shape in bars_picture(facts).shapes if isinstance(shape, Box)]


def test_a_bar_is_as_high_as_its_value_and_nothing_is_drawn_for_nothing() -> None:
    tall = BASE - TOP

    assert [box.height for box in boxes(FACTS)] == [tall / 4, tall]
    assert {box.y + box.height for box in boxes(FACTS)} == {BASE}


def test_what_is_below_zero_hangs_under_the_line() -> None:
    above, below = boxes(replace(FACTS, bars=[("Aug", 30), ("Sep", -10)]))

    assert above.y + above.height == below.y
    assert below.height * 3 == above.height


def test_the_highest_is_written_and_the_picture_says_the_same_in_words() -> None:
    picture = bars_picture(FACTS)

    assert picture.says == FACTS.says
    assert [shape.text for shape in picture.shapes if isinstance(shape, Words)] == ["Aug", "Sep", "Oct", "40"]


def test_nothing_at_all_is_a_line() -> None:
    assert boxes(BarsFacts("Nothing.", [("Aug", 0)], "0")) == []
    assert bars_picture(BarsFacts("Nothing.", [], "0")).shapes


@given(st.lists(st.integers(-(10**9), 10**9), min_size=1, max_size=36))
def test_nothing_leaves_the_frame(values: list[int]) -> None:
    bars = [("Sep 2026", value) for value in values]

    assert outside(bars_picture(BarsFacts("Bars.", bars, "1,234,567.89 GBP"))) == []
