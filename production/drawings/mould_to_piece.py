"""Two drawings for papers, black on white: from mould to piece, and the wave under a paper's head.

Papers are made where no style sheet reaches into a drawing, so here colours and line widths are attributes.
"""

from __future__ import annotations

from math import exp, log

from inventory.drawings.shapes import Attributes, Path, Picture, Shape, line, px
from production.drawings.silhouettes import outline_named

INK = "#000000"


def mould_to_piece(silhouette: str) -> Picture:
    """An empty mould, the water leaving, and the piece standing, on one line."""
    width, floor, wall = 330.0, 207.0, 78.0
    shapes: list[Shape] = [
        *_ebbing(wall, width, top=34.0, floor=floor, tau=57.3, gap=9.0, heavy=1.3, curve=1.8),
        Path(f"M4 18V{px(floor)}H{px(wall)}V18", "", "none", _stroke(5)),
    ]
    size, outline = 142 / 40, outline_named(silhouette)
    moved = f"translate(188 {px(floor - 1.5 - outline.floor * size)}) scale({size})"
    look: Attributes = (*_stroke(1.1), ("stroke-linejoin", "round"), ("transform", moved))
    shapes += [Path(d, "", "#FFFFFF", look) for d in outline.paths]
    shapes.append(Path(f"M0 {px(floor)}H{px(width)}", "", "none", _stroke(5)))
    return Picture(width=width, height=210, says="", shapes=tuple(shapes), css="paper-drawing")


def wave_rule() -> Picture:
    """A mould and the water leaving it, as the line under a paper's head."""
    width, wall = 300.0, 26.0
    shapes: list[Shape] = [
        *_ebbing(wall, width, top=2.5, floor=24.0, tau=55.0, gap=2.5, heavy=0.8, curve=1.0),
        Path("M1.2 2V24H26V2", "", "none", _stroke(2.4)),
        Path(f"M{px(wall)} 24.5H{px(width)}", "", "none", _stroke(1.2)),
    ]
    return Picture(width=width, height=26, says="", shapes=tuple(shapes), css="paper-drawing")


def _ebbing(
    left: float,
    right: float,
    *,
    top: float,
    floor: float,
    tau: float,
    gap: float,
    heavy: float,
    curve: float,
) -> list[Shape]:
    """Level lines under an exponential from wall to right edge; `heavy` and `curve` are line widths."""
    tall = floor - top
    points = [(left + n * (right - left) / 90, 0.0) for n in range(91)]
    points = [(x, floor - tall * exp(-(x - left) / tau)) for x, _ in points]
    levels = []
    level = gap / 2
    while level < tall:
        ends = min(right, left - tau * log(level / tall))
        levels.append(f"M{px(left)} {px(floor - level)}H{px(ends)}")
        level += gap
    return [
        Path("".join(levels), "", "none", _stroke(heavy)),
        Path(line(points), "", "none", _stroke(curve)),
    ]


def _stroke(width: float) -> Attributes:
    return (("stroke", INK), ("stroke-width", f"{width:g}"))
