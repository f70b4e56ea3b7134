"""The few shapes every drawing is made of, and how they are written as SVG.

A layout function decides where things stand and returns a `Picture`; the writer below turns it into
markup. Colours come from the style sheet by class; only a cast's own colour, and pictures for paper, carry
a colour as an attribute. Coordinates are px from the picture's left top corner.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

Attributes = tuple[tuple[str, str], ...]


def px(value: float) -> str:
    """A coordinate with one decimal at most, without a bare ".0" and never in the form "-0"."""
    rounded = round(value, 1)
    return str(int(rounded)) if rounded == int(rounded) else str(rounded)


@dataclass(frozen=True)
class Path:
    """A line or an area: SVG path data. `extra` holds further attributes."""

    d: str
    css: str
    fill: str = ""
    extra: Attributes = ()


@dataclass(frozen=True)
class Box:
    """An upright rectangle."""

    x: float
    y: float
    width: float
    height: float
    css: str
    fill: str = ""


@dataclass(frozen=True)
class Words:
    """A text whose base line starts, ends or has its middle at x (`anchor`: start, end, middle)."""

    x: float
    y: float
    text: str
    css: str = ""
    anchor: str = "start"

    @property
    def left(self) -> float:
        """Where the text begins, by a reckoned width."""
        width = width_of(self.text)
        return self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]

    @property
    def right(self) -> float:
        """Where the text ends, by a reckoned width."""
        return self.left + width_of(self.text)


@dataclass(frozen=True)
class Ring:
    """A circle."""

    x: float
    y: float
    radius: float
    css: str


Shape = Path | Box | Words | Ring


@dataclass(frozen=True)
class Picture:
    """A drawing: its frame, the sentence that says the same in words, and the shapes from back to front.

    `scale` enlarges the frame on the screen without changing its coordinates; `top` moves its upper edge.
    """

    width: float
    height: float
    says: str
    shapes: tuple[Shape, ...]
    scale: float = 1.0
    top: float = 0.0
    css: str = "drawing"


@dataclass(frozen=True)
class Drawn:
    """One drawing in its two widths: for a wide screen, and for a phone."""

    wide: Picture
    narrow: Picture


def width_of(text: str, size: float = 14.0) -> float:
    """Reckoned width of a text in px, for placing words only: about half its size for every letter."""
    return len(text) * size * 0.5


def line(points: Iterable[tuple[float, float]]) -> str:
    """Path data through the points."""
    return "M" + "L".join(f"{px(x)} {px(y)}" for x, y in points)


def _written(shape: Shape) -> str:
    if isinstance(shape, Words):
        anchor = f' text-anchor="{shape.anchor}"' if shape.anchor != "start" else ""
        css = f" class={quoteattr(shape.css)}" if shape.css else ""
        return f'<text x="{px(shape.x)}" y="{px(shape.y)}"{anchor}{css}>{escape(shape.text)}</text>'
    css = f" class={quoteattr(shape.css)}" if shape.css else ""
    if isinstance(shape, Ring):
        return f'<circle cx="{px(shape.x)}" cy="{px(shape.y)}" r="{px(shape.radius)}"{css}/>'
    fill = f" fill={quoteattr(shape.fill)}" if shape.fill else ""
    if isinstance(shape, Box):
        at = f'x="{px(shape.x)}" y="{px(shape.y)}" width="{px(shape.width)}" height="{px(shape.height)}"'
        return f"<rect {at}{css}{fill}/>"
    extra = "".join(f" {name}={quoteattr(value)}" for name, value in shape.extra)
    return f"<path d={quoteattr(shape.d)}{css}{fill}{extra}/>"


def svg_of(picture: Picture, *, css: str = "") -> str:
    """The picture as an inline SVG element: text and attributes escaped, no style, no script."""
    said = f'role="img" aria-label={quoteattr(picture.says)}' if picture.says else 'aria-hidden="true"'
    frame = f"0 {px(picture.top)} {px(picture.width)} {px(picture.height)}"
    size = f'width="{px(picture.width * picture.scale)}" height="{px(picture.height * picture.scale)}"'
    classes = quoteattr(f"{picture.css} {css}".strip())
    body = "".join(_written(shape) for shape in picture.shapes)
    return f'<svg class={classes} {size} viewBox="{frame}" {said}>{body}</svg>'
