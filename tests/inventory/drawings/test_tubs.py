from __future__ import annotations

import pytest

from inventory.drawings.shapes import Picture, Words
from inventory.drawings.tubs import FLOOR, Tub, tubs_picture
from tests.inventory.drawings.reach import of_class, outside, points_of

BULK = Tub("bulk tub B4", 13_720, 25_000, "13.72")
WORKING = Tub("working tub Q2", 5_310, 15_000, "5.31")


def picture(bulk: Tub = BULK, working: Tub = WORKING, bring: int = 9_310) -> Picture:
    return tubs_picture(bulk, working, bring=bring, bring_words="9.31 kg", why_words="why", says="says")


def surfaces(drawn: Picture) -> list[float]:
    """Heights of the powder in the bulk tub and in the working tub."""
    return [points_of(shape.d)[0][1] for shape in of_class(drawn, "d-line2")]


def test_levels_stand_to_scale_within_their_tubs() -> None:
    # 13.72 of 25 in a tub 84 px tall, 5.31 of 15 in one 74 px tall, both from the floor at 88
    assert surfaces(picture()) == pytest.approx([88 - 0.5488 * 84, 88 - 0.354 * 74], abs=0.06)


def test_a_broken_line_shows_where_the_working_tub_will_stand() -> None:
    (will,) = of_class(picture(), "d-will")

    assert points_of(will.d)[0][1] == pytest.approx(88 - 14_620 / 15_000 * 74, abs=0.06)


def test_an_empty_tub_is_empty_and_one_that_holds_too_much_is_full_to_its_rim() -> None:
    empty, heaped = Tub("a", 0, 25_000, "0"), Tub("b", 20_000, 15_000, "20")

    assert surfaces(picture(empty, heaped)) == [FLOOR, 14.0]


def test_when_nothing_is_brought_over_there_is_no_arrow_and_no_promise() -> None:
    still = picture(bring=0)

    assert of_class(still, "d-arrow") == []
    assert of_class(still, "d-will") == []
    assert "9.31 kg" not in [shape.text for shape in still.shapes if isinstance(shape, Words)]


def test_what_is_brought_and_held_is_written_and_said() -> None:
    written = [shape.text for shape in picture().shapes if isinstance(shape, Words)]

    assert {"13.72", "5.31", "9.31 kg", "bulk tub B4", "working tub Q2"} <= set(written)
    assert picture().says == "says"


def test_nothing_leaves_the_frame() -> None:
    assert outside(picture(), slack=3) == []
