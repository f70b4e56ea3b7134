"""What the sieve kept of each decant, against how long the tub was open or how often it had been opened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.drawings.shapes import Box, Path, Picture, Ring, Shape, Words, px

LEFT = 44.0
RIGHT = 10.0
TOP = 14.0
BASE = 132.0
TALL = 168.0
SIDE = 8.0
LINES = 4


@dataclass(frozen=True)
class LumpsFacts:
    """`marks` are (days or openings, hundredths of a percent lost, whether of the biggest tubs).

    Rings are the biggest tubs, squares the smaller ones. `across` names what goes to the right.
    """

    says: str
    marks: Sequence[tuple[int, int, bool]]
    across: str


def lumps_picture(facts: LumpsFacts, *, width: float = 336) -> Picture:
    """The marks over a line for every part of the highest, rounded up to even percents."""
    furthest = max([1, *(across for across, _, _ in facts.marks)])
    # Even, so that the line in the middle is a whole percent too.
    percents = max(2, 2 * -(-max([0, *(lost for _, lost, _ in facts.marks)]) // 200))
    right = width - RIGHT

    def x(across: float) -> float:
        return LEFT + across / furthest * (right - LEFT)

    def y(hundredths: float) -> float:
        return BASE - hundredths / (percents * 100) * (BASE - TOP)

    shapes: list[Shape] = []
    for part in range(LINES + 1):
        share = percents * part / LINES
        shapes.append(Path(f"M{px(LEFT)} {px(y(share * 100))}H{px(right)}", "d-hour"))
        if part % 2 == 0:
            shapes.append(Words(LEFT - 6, y(share * 100) + 4, f"{share:g} %", "t13 t-quiet", "end"))
    shapes.append(Path(f"M{px(LEFT)} {px(BASE)}H{px(right)}", "d-line15"))
    for across, lost, is_big in sorted(facts.marks):
        if is_big:
            shapes.append(Ring(x(across), y(lost), SIDE / 2, "d-ring"))
        else:
            shapes.append(Box(x(across) - SIDE / 2, y(lost) - SIDE / 2, SIDE, SIDE, "d-bar-used"))
    shapes.append(Words(LEFT, BASE + 16, "0", "t13 t-quiet", "middle"))
    shapes.append(Words(right, BASE + 16, str(furthest), "t13 t-quiet", "end"))
    shapes.append(Words((LEFT + right) / 2, BASE + 32, facts.across, "t13 t-quiet", "middle"))
    return Picture(width=width, height=TALL, says=facts.says, shapes=tuple(shapes))
