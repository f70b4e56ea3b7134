"""The weighings of one piece as rings on its drying curve."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import exp, log

from inventory.drawings.shapes import Drawn, Path, Picture, Ring, Shape, Words, line, px, width_of
from inventory.drawings.wall_clock import DAY, day_words

MARGIN = 8.0
LEVEL_GAP = 3.4
POINTS = 150


@dataclass(frozen=True)
class Weighing:
    """One reading: wall-clock minute since midnight of the first day drawn, mass in mg, its words."""

    at: float
    mass_mg: int
    words: str


@dataclass(frozen=True)
class DryingFacts:
    """A piece on its way to dry.

    `dry_mass_mg` and `tau` (minutes) come from the weighings' fit, or are None while there are too few;
    `start_mass_mg` is the fitted mass at the first weighing; `dry_at` a minute, `dry_words` "dry Thu 09:10".
    """

    weighings: tuple[Weighing, ...]
    first_day: date
    dry_mass_mg: int | None = None
    start_mass_mg: int | None = None
    tau: float | None = None
    dry_at: float | None = None
    dry_words: str = ""


@dataclass(frozen=True)
class _Frame:
    """Where minutes and masses stand: `first` to `last` over the width, `light` on the base line."""

    width: float
    base: float
    first: float
    last: float
    light: float
    heavy: float

    def x(self, minute: float) -> float:
        return MARGIN + (minute - self.first) / (self.last - self.first) * (self.width - 2 * MARGIN)

    def y(self, mass: float) -> float:
        top = 11.0
        share = (mass - self.light) / (self.heavy - self.light) if self.heavy > self.light else 0.0
        return self.base - max(-0.05, share) * (self.base - top)


def drawn_drying_curve(facts: DryingFacts) -> Drawn:
    """The curve for both widths; at least one weighing."""
    return Drawn(wide=drying_picture(facts, 470, 112), narrow=drying_picture(facts, 334, 104))


def drying_picture(facts: DryingFacts, width: float, height: float) -> Picture:
    """Rings for the weighings; curve, level lines and the upright at dry once the fit is known."""
    frame = _frame(facts, width, height - 25)
    shapes: list[Shape] = []
    if facts.tau and facts.dry_mass_mg is not None:
        shapes += _curve(facts, frame)
    shapes.append(Path(f"M{px(MARGIN)} {px(frame.base)}H{px(width - MARGIN)}", "d-line15"))
    shapes += _days(facts, frame, height)
    shapes += _rings(facts, frame)
    if facts.dry_at is not None:
        x = min(max(frame.x(facts.dry_at), MARGIN), width - MARGIN)
        shapes.append(Path(f"M{px(x)} {px(frame.base - 10)}V{px(frame.base + 5)}", "d-line2"))
        half = width_of(facts.dry_words) / 2
        middle = min(max(x, half + 2), width - half - 2)
        shapes.append(Words(middle, frame.base - 14, facts.dry_words, "t135 t-strong", "middle"))
    return Picture(width=width, height=height, says=_sentence(facts), shapes=tuple(shapes))


def _frame(facts: DryingFacts, width: float, base: float) -> _Frame:
    masses = [weighing.mass_mg for weighing in facts.weighings]
    first = facts.weighings[0].at
    end = max(facts.dry_at or 0.0, facts.weighings[-1].at, first + 60)
    heavy = max([*masses, facts.start_mass_mg or 0])
    light = facts.dry_mass_mg if facts.dry_mass_mg is not None else min(masses)
    if light >= heavy:
        light = heavy - max(1, heavy // 100)
    return _Frame(width, base, first, end + 0.1 * (end - first), light, heavy)


def _curve(facts: DryingFacts, frame: _Frame) -> list[Shape]:
    dry, tau = facts.dry_mass_mg or 0, facts.tau or 1.0
    water = (facts.start_mass_mg or facts.weighings[0].mass_mg) - dry
    if water <= 0:
        return []
    step = (frame.last - frame.first) / POINTS
    minutes = [frame.first + step * n for n in range(POINTS + 1)]
    points = [
        (frame.x(minute), frame.y(dry + water * exp(-(minute - frame.first) / tau))) for minute in minutes
    ]
    levels = []
    tall = frame.base - frame.y(dry + water)
    level = LEVEL_GAP
    while level < tall:
        ends = frame.x(min(frame.last, frame.first - tau * log(level / tall)))
        levels.append(f"M{px(MARGIN)} {px(frame.base - level)}H{px(ends)}")
        level += LEVEL_GAP
    return [Path("".join(levels), "d-levels"), Path(line(points), "d-curve")]


def _days(facts: DryingFacts, frame: _Frame, height: float) -> list[Shape]:
    shapes: list[Shape] = []
    reached = -1.0
    day = int(frame.first // DAY) + 1
    while day * DAY <= frame.last:
        x = frame.x(day * DAY)
        words = day_words(facts.first_day + timedelta(days=day))
        shapes.append(Path(f"M{px(x)} {px(frame.base)}v5", "d-line"))
        if x > reached and x + width_of(words, 13) <= frame.width:
            shapes.append(Words(x, height - 2, words, "t13 t-quiet"))
            reached = x + width_of(words, 13) + 6
        day += 1
    return shapes


def _rings(facts: DryingFacts, frame: _Frame) -> list[Shape]:
    """Rings with their masses behind them; a mass that would cover the one before moves down under it."""
    rings: list[Shape] = []
    words: list[Words] = []
    for weighing in facts.weighings:
        x, y = frame.x(weighing.at), frame.y(weighing.mass_mg)
        rings.append(Ring(x, y, 4.5, "d-ring"))
        written = y - 1
        if words and x + 9 < words[-1].right and written - words[-1].y < 13:
            written = words[-1].y + 13
        if written <= frame.base - 2:
            fits = x + 9 + width_of(weighing.words) <= frame.width
            anchor = "start" if fits else "end"
            words.append(Words(x + 9 if fits else x - 9, written, weighing.words, "t-over-paper", anchor))
    return [*words, *rings]


def _sentence(facts: DryingFacts) -> str:
    readings = [
        f"{weighing.words} {day_words(facts.first_day + timedelta(days=weighing.at // DAY))}"
        for weighing in facts.weighings
    ]
    said = f"Weights: {', '.join(readings)}."
    return f"{said} Expected {facts.dry_words}." if facts.dry_at is not None else said
