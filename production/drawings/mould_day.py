"""One mould copy today: in the mould, then wet until it is clean and dry."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.drawings.shapes import Box, Drawn, Path, Picture, Shape, Words, px, width_of
from inventory.drawings.wall_clock import clock_words
from production.drawings.bench_day import HourScale, hour_axis

FLOOR = 46.0
WIDE = 640.0
NARROW = 358.0


@dataclass(frozen=True)
class CopyUse:
    """One pour in this copy; minutes since midnight. `dry_at` is when it is clean and dry again.

    A wash is one that is out as soon as it is poured.
    """

    poured: float
    out: float
    dry_at: float
    colour_hex: str


def drawn_mould_day(
    name: str, uses: tuple[CopyUse, ...], first_hour: int, last_hour: int, now: float | None
) -> Drawn:
    """The day of one copy for both widths; `name` as in "Copy 1"."""
    return Drawn(
        wide=_picture(name, uses, HourScale(first_hour, last_hour, WIDE), now, every=1),
        narrow=_picture(name, uses, HourScale(first_hour, last_hour, NARROW), now, every=2),
    )


def _picture(
    name: str, uses: tuple[CopyUse, ...], scale: HourScale, now: float | None, *, every: int
) -> Picture:
    shapes: list[Shape] = hour_axis(scale, FLOOR, every=every)
    for use in uses:
        shapes += _wet(use, scale)
        shapes += _cast(use, scale)
    if now is not None and scale.first_hour * 60 <= now <= scale.last_hour * 60:
        shapes.append(Box(scale.kept(now) - 2, 0, 4, FLOOR + 6, "d-now"))
    told = [
        (
            f"in use {clock_words(use.poured)} to {clock_words(use.out)}"
            if use.out > use.poured
            else f"washed {clock_words(use.poured)}"
        )
        + f", clean and dry {clock_words(use.dry_at)}"
        for use in uses
    ]
    says = f"{name}: {'; '.join(told) if told else 'free all day'}"
    return Picture(width=scale.width, height=70, says=says, shapes=tuple(shapes))


def _cast(use: CopyUse, scale: HourScale) -> list[Shape]:
    left, right = scale.kept(use.poured), scale.kept(use.out)
    if right <= left:
        return []
    shapes: list[Shape] = [
        Box(left, 14, right - left, FLOOR - 14, "d-cast", use.colour_hex),
        Path(f"M{px(left)} 8V{px(FLOOR)}H{px(right)}V8", "d-walls"),
    ]
    words = "in the mould"
    if right - left > width_of(words) + 10:
        # the cast may be of any colour: the words get paper behind them
        shapes.append(Box(left + 5, 20, width_of(words) + 6, 18, "d-behind"))
        shapes.append(Words(left + 8, 34, words, "t-strong"))
    return shapes


def _wet(use: CopyUse, scale: HourScale) -> list[Shape]:
    left, right = scale.kept(use.out), scale.kept(use.dry_at)
    if right <= left:
        return []
    drops = []
    for row, y in enumerate((26.0, 34.0, 42.0)):
        x = left + (4.0 if row % 2 else 7.5)
        while x < right - 2:
            drops.append(f"M{px(x)} {px(y - 2)}v4")
            x += 7
    frame = f"M{px(left)} 22H{px(right)}V{px(FLOOR)}H{px(left)}Z"
    shapes: list[Shape] = [Path("".join(drops), "d-drops"), Path(frame, "d-wet")]
    words = "clean and dry"
    if right - left > width_of(words) + 16:
        shapes.append(Box(left + 6, 25, width_of(words) + 6, 18, "d-behind"))
        shapes.append(Words(left + 9, 38, words))
    return shapes
