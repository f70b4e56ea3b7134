"""Today on the Bench as a staircase: one step per mix, its walls to scale, when each comes out."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.drawings.shapes import Box, Drawn, Path, Picture, Shape, Words, px, width_of
from inventory.drawings.wall_clock import clock_words

MARGIN = 10.0
BLOCK_LEAST = 6.0
WIDE = 1240.0
NARROW = 358.0


@dataclass(frozen=True)
class BenchMix:
    """One mix of today; times are minutes since midnight."""

    number: str
    colour_name: str
    colour_hex: str
    started: float
    poured: float
    out: float
    mixed: bool


@dataclass(frozen=True)
class HourScale:
    """Hours of one day side by side, from `first_hour` to `last_hour`."""

    first_hour: int
    last_hour: int
    width: float

    def x(self, minute: float) -> float:
        """Where a minute since midnight stands, px."""
        span = (self.last_hour - self.first_hour) * 60
        return MARGIN + (minute - self.first_hour * 60) / span * (self.width - 2 * MARGIN)

    def kept(self, minute: float) -> float:
        """As `x`, kept inside the day drawn."""
        return min(max(self.x(minute), MARGIN), self.width - MARGIN)


def drawn_bench_day(mixes: tuple[BenchMix, ...], first_hour: int, last_hour: int, now: float | None) -> Drawn:
    """The staircase for both widths; mixes in the order they are poured."""
    return Drawn(
        wide=bench_day_picture(mixes, HourScale(first_hour, last_hour, WIDE), now),
        narrow=bench_day_picture(mixes, HourScale(first_hour, last_hour, NARROW), now),
    )


def bench_day_picture(mixes: tuple[BenchMix, ...], scale: HourScale, now: float | None) -> Picture:
    """One step per mix, downwards in the order given; height grows with the number of mixes."""
    is_wide = scale.width > 600
    rise = 15.2 if is_wide else 14.4
    axis = 4 + rise * max(1, len(mixes))
    shapes = [*hour_axis(scale, axis, every=1 if is_wide else 2, with_lines=True)]
    if now is not None and scale.first_hour * 60 <= now <= scale.last_hour * 60:
        shapes.append(Box(scale.kept(now) - 2, 0, 4, axis + 6, "d-now"))
    for place, mix in enumerate(mixes):
        shapes += _step(mix, scale, top=3 + rise * place, tall=rise - 5, is_wide=is_wide)
    return Picture(
        width=scale.width, height=axis + 20, says=_sentence(mixes, scale, now), shapes=tuple(shapes)
    )


def hour_axis(scale: HourScale, axis: float, *, every: int, with_lines: bool = False) -> list[Shape]:
    """The line of hours at height `axis`, a tick each hour, a figure every so many."""
    hours = range(scale.first_hour, scale.last_hour + 1)
    ticks = "".join(f"M{px(scale.x(hour * 60))} {px(axis)}v5" for hour in hours)
    shapes: list[Shape] = [Path(ticks, "d-line15")]
    if with_lines:
        up = "".join(f"M{px(scale.x(hour * 60))} 0V{px(axis)}" for hour in hours)
        shapes.insert(0, Path(up, "d-hour"))
    for hour in hours:
        if (hour - scale.first_hour) % every == 0:
            shapes.append(Words(scale.x(hour * 60), axis + 19, f"{hour:02d}", "t135 t-quiet", "middle"))
    shapes.append(Path(f"M{px(MARGIN)} {px(axis)}H{px(scale.width - MARGIN)}", "d-line2"))
    return shapes


def _step(mix: BenchMix, scale: HourScale, *, top: float, tall: float, is_wide: bool) -> list[Shape]:
    wall, wall_end = scale.kept(mix.poured), scale.kept(mix.out)
    block = max(MARGIN - BLOCK_LEAST, min(scale.kept(mix.started), wall - BLOCK_LEAST))
    floor = top + 1.6 + tall
    shapes: list[Shape] = []
    if wall_end > wall:
        shapes.append(Box(wall, floor - tall, wall_end - wall, tall, "d-cast", mix.colour_hex))
        right_wall = f"V{px(top)}" if scale.x(mix.out) <= scale.width - MARGIN else ""
        shapes.append(Path(f"M{px(wall)} {px(top)}V{px(floor)}H{px(wall_end)}{right_wall}", "d-walls2"))
    shapes.append(
        Box(block, top + 1, wall - block, floor - top - 1, "d-block done" if mix.mixed else "d-block")
    )
    name = f"{mix.number} {mix.colour_name}," if is_wide else mix.number
    return [*shapes, _label(f"{name} out {clock_words(mix.out)}", block, wall_end, floor - 0.5, scale)]


def _label(text: str, block: float, wall_end: float, y: float, scale: HourScale) -> Words:
    """Behind the walls where there is room, else before the block."""
    if wall_end + 7 + width_of(text) <= scale.width:
        return Words(wall_end + 7, y, text, "t-over")
    if block - 6 - width_of(text) >= 0:
        return Words(block - 6, y, text, "t-over", "end")
    return Words(scale.width - 2, y, text, "t-over", "end")


def _sentence(mixes: tuple[BenchMix, ...], scale: HourScale, now: float | None) -> str:
    span = f"Today from {scale.first_hour} to {scale.last_hour}"
    steps = [
        f"mix {mix.number}, {mix.colour_name}, {'poured' if mix.mixed else 'to pour'} "
        f"{clock_words(mix.poured)}, out of the mould {clock_words(mix.out)}"
        for mix in mixes
    ]
    told = f"{span}: {'; '.join(steps)}." if steps else f"{span}: nothing to pour."
    return f"{told} It is {clock_words(now)}." if now is not None else told
