from __future__ import annotations

import pytest

from inventory.drawings.shapes import Words
from production.drawings.wear import wear_picture
from tests.inventory.drawings.reach import of_class, one_path, outside


@pytest.mark.parametrize(("done", "end"), [(0, 4), (45, 77), (90, 150), (180, 296), (400, 296)])
def test_the_rule_is_heavy_as_far_as_casts_are_done_and_never_past_its_end(done: int, end: float) -> None:
    assert one_path(wear_picture(done, 180), "d-wear")[-1][0] == end


def test_marks_up_to_the_casts_done_are_heavy_and_the_rest_light() -> None:
    picture = wear_picture(90, 180)

    assert len(one_path(picture, "d-wear-cast")) == 21 * 2
    assert len(one_path(picture, "d-line")) == 20 * 2


def test_it_says_how_many_of_how_many() -> None:
    picture = wear_picture(143, 180)

    assert picture.says == "143 of about 180 casts done"
    assert [s.text for s in picture.shapes if isinstance(s, Words)] == ["180", "143 casts"]


@pytest.mark.parametrize(("done", "expected"), [(0, 180), (180, 180), (1234, 180), (0, 0), (7, 0)])
def test_nothing_leaves_the_frame(done: int, expected: int) -> None:
    assert outside(wear_picture(done, expected)) == []
    assert of_class(wear_picture(done, expected), "d-wear")


def test_one_cast_is_not_said_as_many() -> None:
    said = [
        [shape.text for shape in wear_picture(done, 60).shapes if isinstance(shape, Words)]
        for done in (0, 1, 2)
    ]

    assert [texts[-1] for texts in said] == ["0 casts", "1 cast", "2 casts"]
