"""How far a drawing reaches, read back from what it drew, for the tests that nothing leaves the frame."""

from __future__ import annotations

import re

from inventory.drawings.shapes import Box, Path, Picture, Ring, Shape, Words

Point = tuple[float, float]


def points_of(d: str) -> list[Point]:
    """The points a path goes through; of arcs and curves their ends and handles."""
    points: list[Point] = []
    x = y = 0.0
    for letter, rest in re.findall(r"([MLHVAQhvlZ])([^MLHVAQhvlZ]*)", d):
        numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", rest)]
        if letter == "A":
            numbers = numbers[5:]
        while numbers:
            if letter in "Hh":
                x = numbers.pop(0) + (x if letter == "h" else 0)
            elif letter in "Vv":
                y = numbers.pop(0) + (y if letter == "v" else 0)
            else:
                step = (numbers.pop(0), numbers.pop(0))
                x, y = (x + step[0], y + step[1]) if letter == "l" else step
            points.append((x, y))
    return points


def corners_of(shape: Shape) -> list[Point]:
    """Corners of one shape as it stands in the picture; of words their reckoned ends on the base line."""
    if isinstance(shape, Box):
        return [(shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height)]
    if isinstance(shape, Ring):
        return [(shape.x, shape.y)]
    if isinstance(shape, Words):
        return [(shape.left, shape.y), (shape.right, shape.y)]
    moved = dict(shape.extra).get("transform", "")
    shift = re.search(r"translate\(([\d.-]+) ([\d.-]+)\)", moved)
    factor = re.search(r"scale\(([\d.]+)\)", moved)
    dx, dy = (float(shift[1]), float(shift[2])) if shift else (0.0, 0.0)
    by = float(factor[1]) if factor else 1.0
    return [(dx + x * by, dy + y * by) for x, y in points_of(shape.d)]


def outside(picture: Picture, *, slack: float = 1.0) -> list[tuple[Shape, Point]]:
    """Every shape that leaves the picture's frame by more than `slack` px, with the point where it does."""
    return [
        (shape, (x, y))
        for shape in picture.shapes
        for x, y in corners_of(shape)
        if not (
            -slack <= x <= picture.width + slack
            and picture.top - slack <= y <= picture.top + picture.height + slack
        )
    ]


def of_class(picture: Picture, css: str) -> list[Shape]:
    """The shapes whose class is exactly `css`."""
    return [shape for shape in picture.shapes if shape.css == css]


def one_path(picture: Picture, css: str) -> list[Point]:
    """The points of the only path of that class."""
    (found,) = of_class(picture, css)
    assert isinstance(found, Path)
    return points_of(found.d)
