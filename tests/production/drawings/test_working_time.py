from __future__ import annotations

from itertools import pairwise

import pytest

from inventory.drawings.shapes import Box, Drawn, Picture, Words
from production.drawings.working_time import Fill, drawn_working_time
from tests.inventory.drawings.reach import of_class, outside

FILLS = (
    Fill("pot 1", 120, "current"),
    Fill("pot 2", 120),
    Fill("saucers", 60),
    Fill("saucers", 60),
)


def drawn(fills: tuple[Fill, ...] = FILLS, total: float = 900, elapsed: float = 232) -> Drawn:
    return drawn_working_time(
        total_seconds=total,
        elapsed_seconds=elapsed,
        stir_seconds=180,
        fills=fills,
        starts="09:27",
        stiff="09:42",
    )


def parts(picture: Picture) -> list[Box]:
    return [shape for shape in picture.shapes if isinstance(shape, Box)]


def test_the_bar_is_cut_into_stirring_each_fill_and_what_is_spare() -> None:
    assert [part.css for part in parts(drawn().wide)] == [
        "d-part stirring",
        "d-part current",
        "d-part",
        "d-part",
        "d-part",
        "d-part spare",
    ]


def test_parts_are_as_long_as_they_take() -> None:
    # 648 px for 15 min; each part gives 2 px to the gap behind it, but for the last
    widths = [part.width for part in parts(drawn().wide)]

    assert widths == pytest.approx([127.6, 84.4, 84.4, 41.2, 41.2, 259.2])


def test_the_mark_stands_at_the_time_used_and_can_be_moved_by_the_device() -> None:
    (mark,) = of_class(drawn().wide, "d-mark")

    # 232 of 900 s over 648 px, from 1
    assert dict(mark.extra) == {"transform": "translate(168 0)", "data-mark": "1 648 900"}


@pytest.mark.parametrize(("elapsed", "place"), [(-5, "translate(1 0)"), (5000, "translate(649 0)")])
def test_the_mark_never_leaves_the_bar(elapsed: float, place: str) -> None:
    (mark,) = of_class(drawn(elapsed=elapsed).wide, "d-mark")

    assert dict(mark.extra)["transform"] == place


def test_fills_of_one_name_bear_it_once() -> None:
    words = [shape.text for shape in drawn().wide.shapes if isinstance(shape, Words)]

    assert words == ["stir", "pot 1", "pot 2", "saucers", "spare", "09:27", "stiff 09:42"]


def test_words_never_run_into_one_another() -> None:
    many = tuple(Fill(f"Cockle cup {n}", 40) for n in range(1, 13))
    uneven = (Fill("saucers", 92), Fill("pot", 58), Fill("bookend", 92), Fill("cup", 50))

    for picture in (drawn(many).wide, drawn(many).narrow, drawn(uneven).narrow, drawn().narrow):
        above = [s for s in picture.shapes if isinstance(s, Words) and s.y == 14]
        assert len(above) >= 2
        assert all(a.right <= b.left for a, b in pairwise(above))


def test_it_says_how_much_is_used_and_what_is_spare() -> None:
    assert drawn().wide.says == (
        "Working time 15 minutes, 3 minutes 52 used. Filling pot 1. 6 minutes spare at the end."
    )


def test_fills_that_do_not_fit_are_cut_off_and_said() -> None:
    tight = drawn(total=420)

    assert "2 minutes too short for every mould." in tight.wide.says
    assert not of_class(tight.wide, "d-part spare")
    assert outside(tight.wide) == []


def test_nothing_leaves_the_frame_in_either_width() -> None:
    assert outside(drawn().wide) == []
    assert outside(drawn().narrow) == []
