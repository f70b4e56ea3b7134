"""The strip of one mix: time from jug to the day it leaves, drawn as the water still in the piece.

From left to right: a block (the mix; hollow while it is only planned), two walls and a floor (in the
mould), a falling curve over level lines (drying) that ends in a short upright (dry), short blocks (coats;
hollow until done), a yellow cup (wax), a diamond (feet, and the studio's own steps), dots (curing), the
piece itself (ready), a thin line (spare time) to a post (the day it leaves). What falls beyond the post is
covered with slanted lines: late.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log
from typing import Literal

from inventory.drawings.shapes import Box, Drawn, Path, Picture, Shape, Words, line, px, width_of
from inventory.drawings.wall_clock import DAY, span_words
from production.drawings.day_scale import (
    NARROW,
    WIDE,
    DayScale,
    DrawnDay,
    day_ground,
    now_line,
)
from production.drawings.silhouettes import outline_named, silhouette_shapes

WALL_LEAST = 9.0
"""Narrowest walls, px: an hour in the mould would vanish in a picture of thirteen days."""
BLOCK_LEAST = 6.5
PIECE = 22.0
LEVEL_GAP = 3.4
RESIDUE_AT_DRY = 0.01
"""Share of the water that the curve still shows where it counts as dry, when no weighing has given a tau."""
CURVE_POINTS = 48
EbbKind = Literal["coat", "fill", "cure", "dry", "hand"]


@dataclass(frozen=True)
class EbbStep:
    """One step after drying, in minutes of the picture. `name` says what a "hand" is: feet, gold rim."""

    kind: EbbKind
    start: float
    end: float
    done: bool = False
    name: str = ""


def ebb_kind(kind: str) -> EbbKind:
    """How a kind of step is drawn: what is fitted and the studio's own kinds are hands, drawn alike."""
    known: dict[str, EbbKind] = {"coat": "coat", "fill": "fill", "cure": "cure", "dry": "dry"}
    return known.get(kind, "hand")


@dataclass(frozen=True)
class EbbFacts:
    """One mix on its way, in minutes of the picture (see `day_scale`).

    `name` begins the sentence for screen readers: "Mix 310, 2 Groyne bookend, Fog". `tau` is the studio's own
    drying constant in minutes, None where it has not weighed. `leaves` is None for shelf stock.
    """

    name: str
    started: float
    poured: float
    out: float
    dry: float
    ready: float
    mixed: bool
    colour_hex: str
    silhouette: str
    tau: float | None = None
    leaves: float | None = None
    steps: tuple[EbbStep, ...] = ()

    @property
    def spare(self) -> float | None:
        """Minutes from ready to the day it leaves, below zero when late; None where it leaves on no day."""
        return None if self.leaves is None else self.leaves - self.ready


@dataclass(frozen=True)
class _Places:
    """Where the fixed points of a strip stand, px."""

    block: float
    wall: float
    wall_end: float
    dry: float
    ready: float
    base: float

    @property
    def piece(self) -> float:
        return self.ready + 1


def spare_words(facts: EbbFacts) -> str:
    """ "spare 1 d 2 h", or "late 1 d" by the days it leaves after its own; "" for shelf stock."""
    if facts.leaves is None:
        return ""
    if facts.ready <= facts.leaves:
        return f"spare {span_words(facts.leaves - facts.ready)}"
    days = int(facts.ready // DAY - facts.leaves // DAY)
    return f"late {days} d" if days else f"late {span_words(facts.ready - facts.leaves)}"


def ebb_sentence(facts: EbbFacts, scale: DayScale) -> str:
    """The strip in one sentence."""
    parts = [f"{'poured' if facts.mixed else 'to pour'} {scale.say(facts.poured)}"]
    parts.append(f"out of the mould {scale.say(facts.out)}")
    parts.append(f"dry {scale.say(facts.dry)}")
    coats = 0
    for step in facts.steps:
        if step.kind == "coat":
            coats += 1
            parts.append(f"coat {coats} {scale.say(step.start)}{', done' if step.done else ''}")
        elif step.kind == "fill":
            parts.append(f"wax fill {scale.say(step.start)}{', done' if step.done else ''}")
        elif step.kind == "hand":
            parts.append(f"{step.name} {scale.say(step.start)}{', done' if step.done else ''}")
        elif step.kind == "cure":
            cured = "cured" if step.name in ("", "cure") else f"{step.name} until"
            parts.append(f"{cured} {scale.say(step.end)}")
        elif step.end > facts.dry:
            parts.append(f"dry again {scale.say(step.end)}")
    parts.append(f"ready {scale.say(facts.ready)}")
    if facts.leaves is not None:
        parts.append(f"leaves {scale.say(facts.leaves)}")
        parts.append(spare_words(facts))
    return f"{facts.name}: {', '.join(parts)}"


def ebb_picture(facts: EbbFacts, scale: DayScale, *, height: float = 46, with_words: bool = True) -> Picture:
    """The strip of one mix over the days of `scale`, `height` px tall."""
    at = _places(facts, scale, base=height - 7)
    late = _late_area(facts, scale, at)
    shapes: list[Shape] = [*day_ground(scale, height), *_spare_line(facts, scale, at)]
    shapes += _curve(facts, scale, at)
    shapes += _walls(facts, scale, at)
    shapes += _steps(facts, scale, at)
    shapes += [*late, *now_line(scale, height), *_piece(facts, scale, at), *_post(facts, scale, height)]
    if with_words:
        shapes += _spare_label(facts, scale, at)
    return Picture(width=scale.width, height=height, says=ebb_sentence(facts, scale), shapes=tuple(shapes))


def drawn_ebb(facts: EbbFacts, days: tuple[DrawnDay, ...], now: float | None = None) -> Drawn:
    """The strip for a wide screen (1,040 px) and for a phone (358 px, its words stand above it)."""
    return Drawn(
        wide=ebb_picture(facts, DayScale(days, WIDE, now)),
        narrow=ebb_picture(facts, DayScale(days, NARROW, now), height=42, with_words=False),
    )


def post_head(leaves: float, text: str, scale: DayScale, *, height: float = 30) -> Picture:
    """Head of a group: the post its strips hang from, a pennant that points back, and what leaves then."""
    shapes: list[Shape] = [*day_ground(scale, height), *now_line(scale, height)]
    if scale.holds(leaves):
        x = scale.x(leaves)
        shapes.append(Path(f"M{px(x)} 4V{px(height)}", "d-post"))
        shapes.append(Path(f"M{px(x)} 5l-11 6l11 6Z", "d-pennant"))
        end = min(x - 16, scale.width - 2)
        if end - width_of(text, 15.5) >= 0:
            shapes.append(Words(end, 20, text, "t155 t-over", "end"))
        else:
            shapes.append(Words(x + 8, 20, text, "t155 t-over"))
    return Picture(width=scale.width, height=height, says="", shapes=tuple(shapes))


def _places(facts: EbbFacts, scale: DayScale, *, base: float) -> _Places:
    wall = scale.x(facts.poured)
    block = min(scale.x(facts.started), wall - BLOCK_LEAST)
    if block < 1 and wall >= 0:
        # a mix of the first hour is moved right a little, so that its block is not cut off
        wall += 1 - block
        block = 1.0
    wall_end = max(scale.x(facts.out), wall + WALL_LEAST)
    dry = max(scale.x(facts.dry), wall_end + 3)
    return _Places(block, wall, wall_end, dry, max(scale.x(facts.ready), dry), base)


def _walls(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    shapes: list[Shape] = []
    left, right = max(0.0, at.wall), min(scale.width, at.wall_end)
    if right > left:
        shapes.append(Box(left, 9, right - left, at.base - 9, "d-cast", facts.colour_hex))
        left_wall = f"M{px(left)} 3V{px(at.base)}" if at.wall >= 0 else f"M0 {px(at.base)}"
        right_wall = f"H{px(right)}V3" if at.wall_end <= scale.width else f"H{px(right)}"
        shapes.append(Path(left_wall + right_wall, "d-walls"))
    if at.block >= 0 and at.wall <= scale.width:
        done = "d-block done" if facts.mixed else "d-block"
        shapes.append(Box(at.block, 6.8, at.wall - at.block, at.base - 7.6, done))
    return shapes


def _curve(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    """The curve m(t) = m_dry + (m_0 - m_dry) exp(-t / tau), level lines, floor and the upright at dry."""
    length = max(1.0, facts.dry - facts.out)
    tau = facts.tau or length / log(1 / RESIDUE_AT_DRY)
    left, right = max(0.0, at.wall_end), min(scale.width, at.dry)
    if right <= left:
        return []
    tall = at.base - 7

    def water(x: float) -> float:
        return exp(-(x - at.wall_end) / (at.dry - at.wall_end) * length / tau)

    step = (right - left) / CURVE_POINTS
    points = [(left + step * n, at.base - tall * water(left + step * n)) for n in range(CURVE_POINTS + 1)]
    shapes: list[Shape] = []
    levels = []
    level = 1.6
    while level < tall:
        surface = at.wall_end - log(level / tall) * tau / length * (at.dry - at.wall_end)
        end = min(surface, right)
        if end - left > 0.8:
            levels.append(f"M{px(left)} {px(at.base - level)}H{px(end)}")
        level += LEVEL_GAP
    if levels:
        shapes.append(Path("".join(levels), "d-levels"))
    shapes.append(Path(line(points), "d-curve"))
    shapes.append(Path(f"M{px(left)} {px(at.base)}H{px(right)}", "d-line15"))
    if 0 <= at.dry <= scale.width:
        shapes.append(Path(f"M{px(at.dry)} {px(at.base - 9)}V{px(at.base + 4)}", "d-tick"))
    return shapes


def _steps(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    shapes: list[Shape] = []
    reached = at.dry
    coat_width = 4.5 if scale.width > 600 else 3.0
    for step in facts.steps:
        left, end = max(scale.x(step.start), reached), scale.x(step.end)
        if left > scale.width:
            break
        if step.kind == "dry":
            continue
        if step.kind != "cure" and left - reached > 1 and left > 0:
            shapes.append(Path(f"M{px(max(0.0, reached))} {px(at.base)}H{px(left)}", "d-line"))
        if step.kind == "cure":
            reached = _cure(shapes, left, end, scale, at)
        elif step.kind == "hand":
            if left >= 0 and left + 8 <= scale.width:
                css = "d-coat done" if step.done else "d-coat"
                shapes.append(Path(f"M{px(left)} {px(at.base - 6.5)}l4-6.5l4 6.5l-4 6.5Z", css))
            reached = left + 9.3
        elif step.kind == "coat":
            reached = left + max(coat_width, min(end - left, 2 * coat_width))
            if left >= 0 and reached <= scale.width:
                css = "d-coat done" if step.done else "d-coat"
                shapes.append(Box(left, at.base - 13, reached - left, 13, css))
            reached += 1.3
        else:
            if left >= 0 and left + 9 <= scale.width:
                shapes.append(Path(f"M{px(left)} {px(at.base - 14)}h9l-1.5 14h-6Z", "d-wax"))
            reached = left + 11
    return shapes


def _cure(shapes: list[Shape], left: float, end: float, scale: DayScale, at: _Places) -> float:
    start, stop = max(0.0, left + 1.5), min(scale.width, end)
    if stop > start:
        shapes.append(Path(f"M{px(start)} {px(at.base - 3)}H{px(stop)}", "d-cure"))
    return max(left, end)


def _piece(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    if not 0 <= at.ready <= scale.width:
        return []
    left = min(at.piece, scale.width - PIECE)
    outline = outline_named(facts.silhouette)
    size = PIECE / 40
    moved = f"translate({px(left)} {px(at.base - outline.floor * size)}) scale({size})"
    return list(silhouette_shapes(outline, hex_colour=facts.colour_hex, state="filled", transform=moved))


def _spare_line(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    if facts.leaves is None:
        return []
    ends = sorted((scale.x(facts.leaves), at.ready))
    left, right = max(0.0, ends[0]), min(scale.width, ends[1])
    return [Path(f"M{px(left)} {px(at.base)}H{px(right)}", "d-line")] if right > left else []


def _post(facts: EbbFacts, scale: DayScale, height: float) -> list[Shape]:
    if facts.leaves is None or not scale.holds(facts.leaves):
        return []
    x = min(scale.x(facts.leaves), scale.width - 1.5)
    return [Path(f"M{px(x)} 0V{px(height)}", "d-post")]


def _late_area(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    """Slanted lines from the post to the piece, each cut at the area's edges; nothing when it is in time."""
    if facts.leaves is None or facts.ready <= facts.leaves:
        return []
    left, right = max(0.0, scale.x(facts.leaves)), min(scale.width, at.ready)
    if right <= left:
        return []
    top, tall = 4.0, at.base - 4.0
    strokes = []
    foot = left + 4.25
    while foot < right + tall:
        # a line that rises to the right at 45 degrees, from the floor at `foot - tall` to the top at `foot`
        low, high = max(left, foot - tall), min(right, foot)
        if high > low:
            strokes.append(f"M{px(low)} {px(top + foot - low)}L{px(high)} {px(top + foot - high)}")
        foot += 8.5
    frame = f"M{px(left)} {px(top)}H{px(right)}V{px(at.base)}H{px(left)}Z"
    return [Path("".join(strokes), "d-hatch"), Path(frame, "d-late")]


def _spare_label(facts: EbbFacts, scale: DayScale, at: _Places) -> list[Shape]:
    """How long the spare time is, where there is room for the words: before the post, else behind it."""
    text = spare_words(facts)
    if not text or facts.leaves is None:
        return []
    is_late = facts.ready > facts.leaves
    css, y = ("t-late", at.base - 9) if is_late else ("t-quiet", at.base - 5)
    wide = width_of(text, 15)
    post = min(scale.x(facts.leaves), scale.width)
    after = (at.piece + PIECE + 4) if is_late else max(post + 8, at.piece + PIECE + 4)
    if not is_late and post - 7 - wide > at.piece + PIECE:
        return [Words(post - 7, y, text, css, "end")]
    if after + wide <= scale.width:
        return [Words(after, y, text, css)]
    # no room to the right: above the dots of curing, left of the piece and of the post
    end = min(post - 7, at.ready - 4, scale.width - 2)
    return [Words(max(end, wide + 2), 14, text, css, "end")]
