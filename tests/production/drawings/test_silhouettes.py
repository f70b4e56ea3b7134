from __future__ import annotations

import pytest

from inventory.drawings.shapes import Path, svg_of
from production.drawings.silhouettes import (
    OUTLINES,
    is_dark,
    level_lines,
    outline_named,
    silhouette_picture,
)
from tests.inventory.drawings.reach import outside, points_of

COLOURS = {
    "Slate": "#4B555C",
    "Fog": "#B4BABB",
    "Brick": "#94473A",
    "Samphire": "#6A7D4E",
    "Rust": "#7C452C",
    "Shell": "#E4D8C6",
}


def luminance(colour: str) -> float:
    """Source: W3C, Web Content Accessibility Guidelines 2.2, 2023, definition of relative luminance."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in (red, green, blue)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_there_are_seven_outlines_and_the_plain_block() -> None:
    seven = {"pot", "saucer", "pot and saucer", "tray", "bookend", "cup", "dish"}

    assert set(OUTLINES) == seven | {"block"}


def test_a_name_nobody_has_drawn_stands_as_the_plain_block() -> None:
    assert outline_named("teapot") is OUTLINES["block"]


@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize("state", ["open", "wet", "filled", "standing"])
def test_every_outline_in_every_state_stays_in_its_square(name: str, state: str) -> None:
    assert outside(silhouette_picture(name, hex_colour="#94473A", state=state), slack=0.1) == []


@pytest.mark.parametrize("name", OUTLINES)
def test_the_sides_of_an_outline_meet_its_paths(name: str) -> None:
    outline = OUTLINES[name]
    drawn = [point for d in outline.paths for point in points_of(d)]

    assert min(y for _, y in drawn) == outline.top
    assert max(y for _, y in drawn) == outline.floor
    left, right = outline.span(outline.top + 0.01)
    top_points = [x for x, y in drawn if y == outline.top]
    assert left == pytest.approx(min(top_points), abs=0.5)
    assert right == pytest.approx(max(top_points), abs=0.6)


@pytest.mark.parametrize("name", OUTLINES)
def test_level_lines_lie_inside_the_outline_and_not_above_the_water(name: str) -> None:
    outline = OUTLINES[name]
    surface = outline.floor - (outline.floor - outline.top) * 0.5

    lines = points_of(level_lines(outline, 0.5))

    for (left, y), (right, also) in zip(lines[::2], lines[1::2], strict=True):
        assert y == also >= surface
        assert outline.span(y) == (pytest.approx(left, abs=0.06), pytest.approx(right, abs=0.06))


def test_the_more_water_the_more_level_lines() -> None:
    counts = [level_lines(OUTLINES["bookend"], water).count("M") for water in (0, 0.25, 0.5, 1)]

    assert counts == [0, 2, 5, 10]


def test_what_is_not_poured_is_dashed_and_has_no_colour() -> None:
    (shape,) = silhouette_picture("cup", hex_colour="#94473A", state="open").shapes

    assert isinstance(shape, Path)
    assert (shape.css, shape.fill) == ("sil-body open", "")


def test_what_is_dry_is_filled_with_its_colour_and_has_no_lines() -> None:
    (shape,) = silhouette_picture("cup", hex_colour="#94473A", state="filled").shapes

    assert (shape.css, shape.fill) == ("sil-body", "#94473A")


def test_what_is_on_the_shelf_stands_on_a_heavy_line() -> None:
    assert silhouette_picture("cup", state="standing").shapes[-1].css == "sil-floor"


@pytest.mark.parametrize(("name", "colour"), COLOURS.items())
def test_level_lines_are_drawn_in_the_tone_that_contrasts_more_with_the_colour(
    name: str, colour: str
) -> None:
    """Source: W3C, Web Content Accessibility Guidelines 2.2, 2023, definition of contrast ratio."""
    white = 1.05 / (luminance(colour) + 0.05)
    slate = (luminance(colour) + 0.05) / (luminance("#182127") + 0.05)

    assert is_dark(colour) == (white > slate)
    assert max(white, slate) >= 3  # success criterion 1.4.11, non-text contrast


@pytest.mark.parametrize("written", ["", "red", "#abc", "#12345", "#GGGGGG"])
def test_a_colour_that_is_not_one_counts_as_light_and_breaks_nothing(written: str) -> None:
    assert is_dark(written) is False
    assert "<svg" in svg_of(silhouette_picture("pot", hex_colour=written, state="wet"))


def test_a_silhouette_is_as_wide_as_asked_and_cropped_to_its_own_height() -> None:
    svg = svg_of(silhouette_picture("tray", hex_colour="#4B555C", size=60))

    assert 'width="60" height="21" viewBox="0 23 40 14"' in svg
