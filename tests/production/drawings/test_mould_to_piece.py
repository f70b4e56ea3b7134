from __future__ import annotations

from re import findall

import pytest

from inventory.drawings.shapes import Path, svg_of
from production.drawings.mould_to_piece import mould_to_piece, wave_rule
from production.drawings.silhouettes import OUTLINES
from tests.inventory.drawings.reach import outside, points_of


@pytest.mark.parametrize("name", OUTLINES)
def test_every_outline_stands_on_the_line_and_inside_the_frame(name: str) -> None:
    assert outside(mould_to_piece(name), slack=5) == []


def test_the_piece_has_its_own_outline() -> None:
    drawn = [shape.d for shape in mould_to_piece("bookend").shapes if isinstance(shape, Path)]

    assert OUTLINES["bookend"].paths[0] in drawn


def test_water_falls_from_the_wall_to_the_line() -> None:
    curve = mould_to_piece("cup").shapes[1]
    assert isinstance(curve, Path)
    heights = [y for _, y in points_of(curve.d)]

    assert heights[0] == 34
    assert heights == sorted(heights)
    assert heights[-1] > 200


@pytest.mark.parametrize("picture", [mould_to_piece("cup"), wave_rule()])
def test_papers_need_no_style_sheet_and_print_in_black(picture: object) -> None:
    svg = svg_of(picture)  # type: ignore[arg-type]

    assert "var(" not in svg
    assert 'class="d-' not in svg
    assert set(findall(r"#[0-9A-Fa-f]{6}", svg)) <= {"#000000", "#FFFFFF"}


def test_the_wave_stays_inside_its_frame() -> None:
    assert outside(wave_rule(), slack=1) == []
