"""Two tubs before a decant: how full each is, what is brought over, and where the working tub will stand."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.drawings.shapes import Path, Picture, Shape, Words, px

FLOOR = 88.0


@dataclass(frozen=True)
class Tub:
    """One tub: its name under it ("bulk tub B4"), and amounts in thousandths of the base unit.

    `words` is what it holds as written in it: "13.72".
    """

    name: str
    holds: int
    capacity: int
    words: str


def tubs_picture(
    bulk: Tub, working: Tub, *, bring: int, bring_words: str, why_words: str, says: str
) -> Picture:
    """Levels to scale within each tub; `bring` is carried over, `says` is for screen readers."""
    shapes: list[Shape] = [
        *_tub(bulk, left=6, right=102, top=4),
        *_tub(working, left=274, right=360, top=14, will_hold=working.holds + bring),
    ]
    if bring > 0:
        shapes += [
            Path("M118 44H254", "d-arrow"),
            Path("M262 44l-12-6v12Z", "d-arrow-head"),
            Words(186, 35, bring_words, "t24 t-strong", "middle"),
            Words(186, 63, why_words, "t-quiet", "middle"),
        ]
    return Picture(width=366, height=112, says=says, shapes=tuple(shapes))


def _tub(tub: Tub, *, left: float, right: float, top: float, will_hold: int | None = None) -> list[Shape]:
    """A tub 5 px narrower at its floor on each side, filled to its level."""
    y = _level(tub.holds, tub.capacity, top)
    lean = (FLOOR - y) / (FLOOR - top) * 5
    filled = (
        f"M{px(left + 5 - lean)} {px(y)}H{px(right - 5 + lean)}L{px(right - 5)} {px(FLOOR)}H{px(left + 5)}Z"
    )
    walls = f"M{px(left)} {px(top)}L{px(left + 5)} {px(FLOOR)}H{px(right - 5)}L{px(right)} {px(top)}"
    middle = (left + right) / 2
    shapes: list[Shape] = [
        Path(filled, "d-level"),
        Path(walls, "d-walls"),
        Path(f"M{px(left + 5 - lean)} {px(y)}H{px(right - 5 + lean)}", "d-line2"),
    ]
    if will_hold is not None and will_hold > tub.holds:
        will = _level(will_hold, tub.capacity, top)
        shapes.append(Path(f"M{px(left + 2)} {px(will)}H{px(right - 2)}", "d-will"))
    shapes.append(Words(middle, 80, tub.words, "t16 t-strong", "middle"))
    shapes.append(Words(middle, 106, tub.name, "t15 t-quiet", "middle"))
    return shapes


def _level(amount: int, capacity: int, top: float) -> float:
    """Height of the surface; a tub never looks fuller than its rim."""
    share = amount / capacity if capacity else 0.0
    return FLOOR - min(1.0, max(0.0, share)) * (FLOOR - top)
