"""Head of the Week: the days, the hands used of those there are, and the powder each day asks for."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from inventory.drawings.shapes import Box, Drawn, Picture, Shape, Words
from inventory.drawings.wall_clock import day_words
from production.drawings.day_scale import NARROW, WIDE, DayScale, DrawnDay, day_ground, now_line

BAR_MARGIN = 8
LETTER_ROOM = 26
"""Least px from one "M23" to the next; days closer than that are named every second or third."""
DAY_ROOM, NOBODY_IN_ROOM, NOBODY_ROOM = 54, 62, 50
"""Px a day needs for "Mon 23", for "nobody in", and for "nobody" over "in"."""
LETTER_WIDTH = 6.5
"""Mean width of a letter of the quiet words, px, a little generous."""
BAR_TOP = 26
BAR_TALL = 8


@dataclass(frozen=True)
class RulerDay:
    """Load of one day: minutes of hands used and there, and powder to mix, mg."""

    hands_used: float
    hands: float
    powder_mg: int = 0


def hours_words(minutes: float) -> str:
    """Minutes as hours and minutes: "6:30"."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours}:{rest:02d}"


def drawn_day_ruler(
    days: tuple[DrawnDay, ...], loads: tuple[RulerDay, ...], now: float | None = None
) -> Drawn:
    """The head of the Week for both widths; `loads` has one entry per day."""
    return Drawn(
        wide=_loaded_ruler(DayScale(days, WIDE, now), loads),
        narrow=bare_ruler(days, now, NARROW, says=_sentence(days, loads)),
    )


def bare_ruler(
    days: tuple[DrawnDay, ...], now: float | None, width: float, *, height: float = 28, says: str = ""
) -> Picture:
    """The days alone, by their first letter and number: the phone's Week, and the head of the Shelf."""
    scale = DayScale(days, width, now)
    shapes: list[Shape] = [*day_ground(scale, height)]
    for place, letter in _letters(scale):
        middle = min(max((place + 0.5) * scale.day_width, LETTER_ROOM / 2), width - LETTER_ROOM / 2)
        shapes.append(Words(middle, height - 11, letter, _tone(scale, place), "middle"))
    shapes += now_line(scale, height, top=height - 7)
    return Picture(width=width, height=height, says=says, shapes=tuple(shapes))


def _letters(scale: DayScale) -> list[tuple[int, str]]:
    """Days by first letter and number, as many as stand clear of each other; today is always among them."""
    every = max(1, ceil(LETTER_ROOM / scale.day_width))
    today = int(scale.now // 1440) if scale.now is not None else 0
    named = []
    for place, day in enumerate(scale.days):
        if (place - today) % every == 0:
            words = day_words(day.day)
            named.append((place, words[0] + words.split()[1]))
    return named


def _loaded_ruler(scale: DayScale, loads: tuple[RulerDay, ...]) -> Picture:
    height = 74.0
    shapes: list[Shape] = [*day_ground(scale, height)]
    names = dict(_letters(scale))
    if scale.day_width >= DAY_ROOM:
        names = {place: day_words(day.day) for place, day in enumerate(scale.days)}
    for place, (day, load) in enumerate(zip(scale.days, loads, strict=True)):
        left = place * scale.day_width
        middle = left + scale.day_width / 2
        if place in names:
            shapes.append(Words(middle, 17, names[place], f"t15 {_tone(scale, place)}", "middle"))
        if not day.has_hands:
            shapes += _nobody_in(middle, scale.day_width)
        elif load.hands_used:
            shapes += _hands_bar(left + BAR_MARGIN, scale.day_width - 2 * BAR_MARGIN, load)
            used = hours_words(load.hands_used)
            used = _fitting(scale.day_width, f"{used} of {hours_words(load.hands)}", used)
            shapes.append(Words(middle, 50, used, "t135 t-quiet", "middle"))
        if load.powder_mg:
            powder = _fitting(scale.day_width, _powder_words(load.powder_mg), f"{load.powder_mg / 1e6:.1f}")
            shapes.append(Words(middle, 67, powder, "t135 t-quiet", "middle"))
    shapes += now_line(scale, height, top=height - 7)
    return Picture(width=scale.width, height=height, says=_sentence(scale.days, loads), shapes=tuple(shapes))


def _fitting(day_width: float, long: str, short: str) -> str:
    return long if len(long) * LETTER_WIDTH <= day_width else short


def _nobody_in(middle: float, day_width: float) -> list[Shape]:
    """On one line, on two, or not written where neither has room: the ground is darker there."""
    if day_width >= NOBODY_IN_ROOM:
        return [Words(middle, 50, "nobody in", "t135 t-quiet", "middle")]
    if day_width >= NOBODY_ROOM:
        lines = ((50, "nobody"), (64, "in"))
        return [Words(middle, foot, word, "t135 t-quiet", "middle") for foot, word in lines]
    return []


def _hands_bar(left: float, width: float, load: RulerDay) -> list[Shape]:
    """Used part slate; more than there is ends in iron, so that it is seen as too much."""
    share = load.hands_used / load.hands if load.hands else 2.0
    shapes: list[Shape] = [
        Box(left, BAR_TOP, width, BAR_TALL, "d-bar"),
        Box(left, BAR_TOP, width * min(1.0, share), BAR_TALL, "d-bar-used"),
    ]
    if share > 1:
        too_much = width * min(1.0, share - 1)
        shapes.append(Box(left + width - too_much, BAR_TOP - 3, too_much, BAR_TALL + 6, "d-over"))
    return shapes


def _tone(scale: DayScale, place: int) -> str:
    is_today = scale.now is not None and int(scale.now // 1440) == place
    return "t13 t-today" if is_today else "t13 t-mid"


def _powder_words(powder_mg: int) -> str:
    return f"{powder_mg / 1_000_000:.2f} kg"


def _sentence(days: tuple[DrawnDay, ...], loads: tuple[RulerDay, ...]) -> str:
    parts = []
    for day, load in zip(days, loads, strict=True):
        if not day.has_hands:
            parts.append(f"{day_words(day.day)} nobody in")
        elif load.hands_used:
            used = f"hands {hours_words(load.hands_used)} of {hours_words(load.hands)}"
            powder = f", powder {_powder_words(load.powder_mg)}" if load.powder_mg else ""
            parts.append(f"{day_words(day.day)} {used}{powder}")
    span = f"Days from {day_words(days[0].day)} to {day_words(days[-1].day)}"
    return f"{span}: {'; '.join(parts)}" if parts else span
