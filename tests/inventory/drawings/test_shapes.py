from __future__ import annotations

from xml.etree import ElementTree

from inventory.drawings.shapes import Box, Path, Picture, Ring, Words, line, px, svg_of

SHAPES = (
    Path("M0 0H10", "d-line"),
    Box(1, 2, 3, 4, "d-cast", "#94473A"),
    Words(5, 6, "Saltings pot & <saucer>", "t13", "middle"),
    Ring(7, 8, 4.5, "d-ring"),
)


def test_coordinates_have_one_decimal_at_most_and_no_minus_zero() -> None:
    assert [px(10), px(10.04), px(10.06), px(-0.01), px(-2.55)] == ["10", "10", "10.1", "0", "-2.5"]


def test_a_picture_is_well_formed_and_keeps_its_shapes_in_order() -> None:
    svg = ElementTree.fromstring(svg_of(Picture(20, 10, 'Mix 312, "Brick" & more', SHAPES)))

    assert [element.tag for element in svg] == ["path", "rect", "text", "circle"]
    assert svg.get("aria-label") == 'Mix 312, "Brick" & more'
    assert svg.get("role") == "img"
    assert svg[1].get("fill") == "#94473A"
    assert svg[2].text == "Saltings pot & <saucer>"
    assert svg[2].get("text-anchor") == "middle"


def test_a_picture_that_says_nothing_is_hidden_from_screen_readers() -> None:
    assert 'aria-hidden="true"' in svg_of(Picture(20, 10, "", ()))


def test_text_and_attributes_cannot_break_out_of_the_drawing() -> None:
    hostile = '"><script>alert(1)</script>'

    svg = svg_of(Picture(9, 9, hostile, (Words(0, 0, hostile, hostile), Box(0, 0, 1, 1, "d-cast", hostile))))

    assert "<script>" not in svg
    assert [element.tag for element in ElementTree.fromstring(svg)] == ["text", "rect"]


def test_no_drawing_carries_a_style_that_the_page_would_refuse() -> None:
    assert "style" not in svg_of(Picture(20, 10, "x", SHAPES))


def test_scale_enlarges_the_frame_and_leaves_the_coordinates() -> None:
    svg = svg_of(Picture(40, 34, "", (), scale=1.5, top=3))

    assert 'width="60" height="51" viewBox="0 3 40 34"' in svg


def test_words_end_where_their_anchor_says() -> None:
    at_start, at_end = Words(100, 0, "spare 2 h"), Words(100, 0, "spare 2 h", anchor="end")

    assert (at_start.left, at_end.right) == (100, 100)
    assert at_start.right - at_start.left == at_end.right - at_end.left > 0


def test_a_line_goes_through_its_points() -> None:
    assert line([(0, 1), (2.25, 3)]) == "M0 1L2.2 3"
