"""A few amounts side by side: one bar for each month, with the highest of them written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.drawings.shapes import Box, Path, Picture, Shape, Words, px, width_of

LEFT = 4.0
TOP = 20.0
BASE = 78.0
TALL = 96.0
GAP = 0.3


@dataclass(frozen=True)
class BarsFacts:
    """`bars` are (words under it, value); below zero hangs under the line. `says` is for screen readers.

    `css` says how a bar is drawn; `highest_words` what the highest is.
    """

    says: str
    bars: Sequence[tuple[str, int]]
    highest_words: str
    css: str = "d-bar"


def bars_picture(facts: BarsFacts, *, width: float = 336) -> Picture:
    """The bars over their line, the words under every bar that has room for its own."""
    values = [value for _, value in facts.bars]
    highest, lowest = max([*values, 0]), min([*values, 0])
    tall = max(1, highest - lowest)
    zero = BASE - (BASE - TOP) * -lowest / tall
    step = (width - 2 * LEFT) / max(1, len(facts.bars))
    shapes: list[Shape] = []
    words_end = -1.0
    for place, (words, value) in enumerate(facts.bars):
        x, height = LEFT + place * step, (BASE - TOP) * abs(value) / tall
        if value:
            top = zero - height if value > 0 else zero
            shapes.append(Box(x + step * GAP / 2, top, step * (1 - GAP), max(1.0, height), facts.css))
        if x >= words_end and x + width_of(words, 13) <= width:
            shapes.append(Words(x, TALL - 4, words, "t13 t-quiet"))
            words_end = x + width_of(words, 13) + 8
    shapes.append(Path(f"M{px(LEFT)} {px(zero)}H{px(width - LEFT)}", "d-line15"))
    if highest > 0:
        place = values.index(highest)
        at = LEFT + (place + 0.5) * step
        half = width_of(facts.highest_words, 13) / 2
        at = min(max(at, LEFT + half), width - LEFT - half)
        shapes.append(Words(at, TOP - 6, facts.highest_words, "t13", "middle"))
    return Picture(width=width, height=TALL, says=facts.says, shapes=tuple(shapes))
