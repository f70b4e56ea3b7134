"""The wear rule of a mould copy: casts done of those it is expected to give."""

from __future__ import annotations

from inventory.drawings.shapes import Path, Picture, Shape, Words, px, width_of

LEFT = 4.0
RIGHT = 296.0
LINE = 20.0
MARKS = 40


def wear_picture(casts_done: int, casts_expected: int) -> Picture:
    """A rule with heavy marks for casts done; past what was expected it is heavy to its end and says so."""
    share = casts_done / casts_expected if casts_expected else 1.0
    reach = LEFT + min(1.0, share) * (RIGHT - LEFT)
    heavy: list[str] = []
    light: list[str] = []
    for mark in range(MARKS + 1):
        x = LEFT + mark / MARKS * (RIGHT - LEFT)
        top = 4 if mark % 10 == 0 else 11
        (heavy if x <= reach else light).append(f"M{px(x)} {px(LINE)}V{top}")
    shapes: list[Shape] = [Path("".join(heavy), "d-wear-cast")]
    if light:
        shapes.append(Path("".join(light), "d-line"))
    shapes.append(Path(f"M{px(LEFT)} {px(LINE)}H{px(RIGHT)}", "d-line15"))
    shapes.append(Path(f"M{px(LEFT)} {px(LINE)}H{px(reach)}", "d-wear"))
    shapes.append(Words(RIGHT + 8, LINE + 1, str(casts_expected), "t135 t-quiet"))
    words = f"{casts_done} cast" + ("s" if casts_done != 1 else "")
    half = width_of(words) / 2
    middle = min(max(reach, half + 2), RIGHT - half + 30)
    shapes.append(Words(middle, 37, words, "t-strong", "middle"))
    says = f"{casts_done} of about {casts_expected} casts done"
    return Picture(width=340, height=40, says=says, shapes=tuple(shapes))
