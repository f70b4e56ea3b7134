"""Lumps against age."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.lumps import BASE, LEFT, TOP, LumpsFacts, lumps_picture
from inventory.drawings.shapes import Box, Ring, Words
from tests.inventory.drawings.reach import outside

FACTS = LumpsFacts("Lumps: 1 % on day 10, 4 % on day 40", [(40, 400, True), (10, 100, False)], "days")


def test_a_mark_stands_at_its_age_and_at_the_part_lost() -> None:
    picture = lumps_picture(FACTS, width=336)
    (ring,) = (shape for shape in picture.shapes if isinstance(shape, Ring))
    (box,) = (shape for shape in picture.shapes if isinstance(shape, Box))

    assert (ring.x, ring.y) == (326, TOP)
    assert box.x + box.width / 2 == LEFT + (326 - LEFT) / 4
    assert box.y + box.height / 2 == BASE - (BASE - TOP) / 4


def test_big_tubs_are_rings_and_small_ones_squares_so_that_no_colour_is_needed() -> None:
    kinds = [type(shape) for shape in lumps_picture(FACTS).shapes if isinstance(shape, Ring | Box)]

    assert sorted(kind.__name__ for kind in kinds) == ["Box", "Ring"]


def test_the_scale_is_whole_percents_and_both_ends_are_named() -> None:
    words = [shape.text for shape in lumps_picture(FACTS).shapes if isinstance(shape, Words)]

    assert words == ["0 %", "2 %", "4 %", "0", "40", "days"]


@given(st.lists(st.tuples(st.integers(0, 4000), st.integers(0, 10_000), st.booleans()), max_size=40))
def test_nothing_leaves_the_frame(marks: list[tuple[int, int, bool]]) -> None:
    assert outside(lumps_picture(LumpsFacts("Lumps.", marks, "times it had been opened"))) == []
