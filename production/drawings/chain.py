"""The picture of a trace: columns of things, and a line from each to what it went into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.drawings.shapes import Drawn, Path, Picture, Shape, Words, px

ROW, HEAD, NODE = 34.0, 26.0, 26.0
DRAWN_MOST = 12
WIDE, NARROW = 960.0, 358.0
SIGN_WIDE, SIGN_NARROW = 7.4, 7.2


@dataclass(frozen=True)
class Node:
    """One thing in a column: its code, and a word of what it is, left out where there is no room."""

    key: str
    label: str
    word: str = ""


@dataclass(frozen=True)
class Column:
    """Things of one kind, in the order they are drawn."""

    name: str
    nodes: tuple[Node, ...]


def chain_picture(columns: Sequence[Column], links: Sequence[tuple[str, str]], says: str) -> Drawn:
    """The chain for a wide screen and for a phone. `links` join keys of neighbouring columns.

    Of a column at most `DRAWN_MOST` things are drawn; the rest are one line that says how many.
    """
    return Drawn(_picture(columns, links, says, WIDE), _picture(columns, links, says, NARROW))


def _picture(columns: Sequence[Column], links: Sequence[tuple[str, str]], says: str, width: float) -> Picture:
    step = width / max(1, len(columns))
    gap = 46.0 if width == WIDE else 16.0
    places: dict[str, tuple[float, float]] = {}
    shapes: list[Shape] = []
    tallest = max([_drawn_count(column) for column in columns], default=0)
    for number, column in enumerate(columns):
        left = number * step
        shapes.append(Words(left, 16, column.name, "t13 t-quiet"))
        shown = column.nodes if len(column.nodes) <= DRAWN_MOST else column.nodes[: DRAWN_MOST - 1]
        top = HEAD + (tallest - _drawn_count(column)) * ROW / 2
        for place, node in enumerate(shown):
            middle = top + place * ROW + ROW / 2
            places[node.key] = left, middle
            shapes += _node(node.label, node.word, left, middle, step - gap, width)
        if len(shown) < len(column.nodes):
            middle = top + len(shown) * ROW + ROW / 2
            for node in column.nodes[len(shown) :]:
                places[node.key] = left, middle
            rest = f"{len(column.nodes) - len(shown):,}"
            more = f"and {rest} more" if width == WIDE else f"+ {rest}"
            shapes += _node(more, "", left, middle, step - gap, width)
    joined = {(places[one], places[other]) for one, other in links if one in places and other in places}
    lines = [_line(one, other, step - gap) for one, other in sorted(joined)]
    return Picture(width, HEAD + tallest * ROW + 4, says, (*lines, *shapes), css="drawing chain")


def _drawn_count(column: Column) -> int:
    return min(len(column.nodes), DRAWN_MOST)


def _node(label: str, word: str, left: float, middle: float, room: float, width: float) -> list[Shape]:
    """A thing as its code over a rule, its word beside it where there is room."""
    sign = SIGN_WIDE if width == WIDE else SIGN_NARROW
    signs = int(room / sign)
    text = label if len(label) <= signs else f"{label[: signs - 1]}…"
    shapes: list[Shape] = [
        Path(f"M{px(left)} {px(middle + NODE / 2 - 4)}H{px(left + room)}", "chain-rule"),
        Words(left, middle + 3, text, "t13 t-strong"),
    ]
    free = signs - len(text) - 2
    if width == WIDE and word and free > 5:
        short = word if len(word) <= free else f"{word[: free - 1]}…"
        shapes.append(Words(left + room, middle + 3, short, "t13 t-quiet", "end"))
    return shapes


def _line(one: tuple[float, float], other: tuple[float, float], room: float) -> Path:
    """A line from the end of one rule to the beginning of the next, level at both."""
    (x1, y1), (x2, y2) = (one[0] + room, one[1] + NODE / 2 - 4), (other[0], other[1] + NODE / 2 - 4)
    bend = (x2 - x1) / 2
    return Path(
        f"M{px(x1)} {px(y1)}C{px(x1 + bend)} {px(y1)} {px(x2 - bend)} {px(y2)} {px(x2)} {px(y2)}",
        "chain-line",
    )
