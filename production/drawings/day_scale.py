"""Days of equal width with hours to scale: the ground every picture of a week is drawn on.

Minutes are wall-clock minutes since midnight of the first day drawn (`inventory.drawings.wall_clock`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.drawings.shapes import Path, Shape, px
from inventory.drawings.wall_clock import DAY, clock_words, day_words

WIDE = 1040
NARROW = 358
NOW_WIDTH = 3
"""Width of the wax line, px."""


@dataclass(frozen=True)
class DrawnDay:
    """One day: minutes after midnight between which hands are in; None where nobody is."""

    day: date
    opens: float | None
    closes: float | None

    @property
    def has_hands(self) -> bool:
        """Whether anybody is in."""
        return self.opens is not None and self.closes is not None


@dataclass(frozen=True)
class DayScale:
    """Days side by side over `width` px, with the minute that is now (None: no line for now)."""

    days: tuple[DrawnDay, ...]
    width: float
    now: float | None = None

    @property
    def day_width(self) -> float:
        """Width of one day, px."""
        return self.width / len(self.days)

    def x(self, minute: float) -> float:
        """Where a minute stands, px; outside 0 to `width` for one that is not drawn."""
        return minute / DAY * self.day_width

    def holds(self, minute: float) -> bool:
        """Whether a minute is inside the picture."""
        return 0 <= minute <= DAY * len(self.days)

    def day_words(self, minute: float) -> str:
        """The day of a minute: "Tue 6"."""
        return day_words(self.days[0].day + timedelta(days=minute // DAY))

    def say(self, minute: float) -> str:
        """A minute in words: "Tue 6 09:31"."""
        return f"{self.day_words(minute)} {clock_words(minute)}"


def drawn_days(
    first_day: date, count: int, hours_of: Callable[[date], tuple[float, float] | None]
) -> tuple[DrawnDay, ...]:
    """`count` days from `first_day`; `hours_of` says between which minutes hands are in, or None."""
    days = []
    for step in range(count):
        day = first_day + timedelta(days=step)
        opens, closes = hours_of(day) or (None, None)
        days.append(DrawnDay(day=day, opens=opens, closes=closes))
    return tuple(days)


def day_ground(scale: DayScale, height: float) -> tuple[Shape, ...]:
    """Hours with hands in light, nights as the page, days nobody is in darker, a hairline each midnight."""
    hands, closed, midnights = [], [], []
    for place, day in enumerate(scale.days):
        left = place * scale.day_width
        midnights.append(f"M{px(left)} 0V{px(height)}")
        if day.opens is None or day.closes is None:
            closed.append(_area(left, scale.day_width, height))
        else:
            hands.append(_area(left + scale.x(day.opens), scale.x(day.closes - day.opens), height))
    areas = ((hands, "d-hands"), (closed, "d-closed"), (midnights, "d-midnight"))
    return tuple(Path("".join(parts), css) for parts, css in areas if parts)


def now_line(scale: DayScale, height: float, *, top: float = 0) -> tuple[Shape, ...]:
    """The wax line at the present minute, where it is inside the picture."""
    if scale.now is None or not scale.holds(scale.now):
        return ()
    left = min(max(0.0, scale.x(scale.now) - NOW_WIDTH / 2), scale.width - NOW_WIDTH)
    return (Path(f"M{px(left)} {px(top)}h{NOW_WIDTH}V{px(height)}h-{NOW_WIDTH}Z", "d-now"),)


def _area(left: float, width: float, height: float) -> str:
    return f"M{px(left)} 0h{px(width)}v{px(height)}h-{px(width)}Z"
