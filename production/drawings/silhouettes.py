"""The outlines that stand for pieces and moulds, in a 40-unit square, and how each carries a piece's state.

States are told by how the outline is drawn, so that they can be read without colour: open (dashed, not
poured), wet (level lines up to the water still in the piece), filled (dry, coated, curing or ready),
standing (on a heavy line).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from re import fullmatch

from inventory.drawings.shapes import Path, Picture, Shape, px

LEVEL_GAP = 3.2
"""Units between two level lines."""


@dataclass(frozen=True)
class Outline:
    """One outline: its paths, its upper and lower edge, and its sides as (height, left, right) corners."""

    name: str
    paths: tuple[str, ...]
    top: float
    floor: float
    sides: tuple[tuple[float, float, float], ...]

    def span(self, y: float) -> tuple[float, float]:
        """Left and right of the outline at height y; sides are straight between corners."""
        for (above, left, right), (below, next_left, next_right) in pairwise(self.sides):
            if above <= y <= below and below > above:
                part = (y - above) / (below - above)
                return left + part * (next_left - left), right + part * (next_right - right)
        return 20.0, 20.0


def _arc_sides() -> tuple[tuple[float, float, float], ...]:
    # the bookend's back is a quarter of a circle about (5, 35.7) with radius 31
    heights = [5 + step * 31 / 16 for step in range(17)]
    return tuple((y, 9.0, min(36.0, 5 + sqrt(max(0.0, 961 - (y - 35.7) ** 2)))) for y in heights)


def _dish_sides() -> tuple[tuple[float, float, float], ...]:
    # each flank is the quadratic curve (3, 24) - (4, 36) - (14, 36), mirrored about x = 20
    corners = []
    for step in range(13):
        t = step / 12
        x = (1 - t) ** 2 * 3 + 2 * t * (1 - t) * 4 + t**2 * 14
        y = (1 - t) ** 2 * 24 + 2 * t * (1 - t) * 36 + t**2 * 36
        corners.append((y, x, 40 - x))
    return tuple(corners)


OUTLINES: dict[str, Outline] = {
    outline.name: outline
    for outline in (
        Outline(
            "pot",
            ("M9 13H31L28 36H12Z", "M6 6H34V13H6Z"),
            6,
            36,
            ((6, 6, 34), (13, 6, 34), (13, 9, 31), (36, 12, 28)),
        ),
        Outline("saucer", ("M4 30H36L32 36H8Z",), 30, 36, ((30, 4, 36), (36, 8, 32))),
        Outline(
            "pot and saucer",
            ("M11 11H29L27 30H13Z", "M8 5H32V11H8Z", "M4 30H36L32 36H8Z"),
            5,
            36,
            ((5, 8, 32), (11, 8, 32), (11, 11, 29), (30, 13, 27), (30, 4, 36), (36, 8, 32)),
        ),
        Outline("tray", ("M1 25H39L36 36H4Z",), 25, 36, ((25, 1, 39), (36, 4, 36))),
        Outline("bookend", ("M9 36V5A31 31 0 0 1 36 36Z",), 5, 36, _arc_sides()),
        Outline("cup", ("M11 16H29L27 36H13Z",), 16, 36, ((16, 11, 29), (36, 13, 27))),
        Outline("dish", ("M3 24H37Q36 36 26 36H14Q4 36 3 24Z",), 24, 36, _dish_sides()),
        Outline("block", ("M6 12H34V36H6Z",), 12, 36, ((12, 6, 34), (36, 6, 34))),
    )
}
"""Seven outlines, and the plain block that stands until one is chosen."""


def outline_named(name: str) -> Outline:
    """The outline of that name; the plain block for a name nobody has drawn."""
    return OUTLINES.get(name, OUTLINES["block"])


def is_dark(hex_colour: str) -> bool:
    """Whether white lines read better than slate ones on this colour.

    Source: W3C, Web Content Accessibility Guidelines 2.2, 2023, "relative luminance" and "contrast ratio".
    """
    if not fullmatch("#[0-9A-Fa-f]{6}", hex_colour):
        return False
    channels = []
    for at in (1, 3, 5):
        value = int(hex_colour[at : at + 2], 16) / 255
        channels.append(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)
    light = 0.2126 * channels[0] + 0.7152 * channels[1] + 0.0722 * channels[2]
    # white on the colour against near-black slate (luminance 0.014) on the colour
    return 1.05 / (light + 0.05) > (light + 0.05) / (0.014 + 0.05)


def level_lines(outline: Outline, water: float) -> str:
    """Path data of the level lines inside an outline that still holds `water` (0 dry, 1 all of it)."""
    surface = outline.floor - (outline.floor - outline.top) * min(1.0, max(0.0, water))
    parts = []
    y = outline.floor - LEVEL_GAP / 2
    while y > surface:
        left, right = outline.span(y)
        parts.append(f"M{px(left)} {px(y)}H{px(right)}")
        y -= LEVEL_GAP
    return "".join(parts)


def silhouette_shapes(
    outline: Outline, *, hex_colour: str, state: str, water: float = 1.0, transform: str = ""
) -> tuple[Shape, ...]:
    """The shapes of one silhouette in its 40-unit square, moved by an SVG `transform` where one is given."""
    moved = (("transform", transform),) if transform else ()
    if state == "open":
        return tuple(Path(d, "sil-body open", extra=moved) for d in outline.paths)
    colour = hex_colour or "#F9F9F6"
    shapes: list[Shape] = [Path(d, "sil-body", fill=colour, extra=moved) for d in outline.paths]
    levels = level_lines(outline, water) if state == "wet" else ""
    if levels:
        tone = "on-dark" if is_dark(colour) else "on-light"
        shapes.append(Path(levels, f"sil-levels {tone}", extra=moved))
    if state == "standing":
        shapes.append(Path("M0 37.5H40", "sil-floor", extra=moved))
    return tuple(shapes)


def silhouette_picture(
    name: str,
    *,
    hex_colour: str = "",
    state: str = "filled",
    size: float = 40,
    water: float = 1.0,
    label: str = "",
) -> Picture:
    """One silhouette `size` px wide, cropped to its own height so that a row of them stands on one line."""
    outline = outline_named(name)
    top = max(0, outline.top - 2)
    floor = 39 if state == "standing" else 37
    return Picture(
        width=40,
        height=floor - top,
        says=label,
        shapes=silhouette_shapes(outline, hex_colour=hex_colour, state=state, water=water),
        scale=size / 40,
        top=top,
        css="sil",
    )
