"""How drawings count and say time: wall-clock minutes since midnight of the first day drawn.

A day is 1,440 of them even on the two days a year when clocks change: a drawing shows the clock on the
wall, durations are reckoned elsewhere.
"""

from __future__ import annotations

from datetime import date, datetime

DAY = 1440
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def day_words(day: date) -> str:
    """A day as it is written everywhere: "Tue 6"."""
    return f"{WEEKDAYS[day.weekday()]} {day.day}"


def clock_words(minute: float) -> str:
    """The time of day of a minute: "09:31"."""
    hours, minutes = divmod(int(minute % DAY), 60)
    return f"{hours:02d}:{minutes:02d}"


def wall_minutes(local: datetime, first_day: date) -> float:
    """Wall-clock minutes from midnight of `first_day` to a local date and time."""
    return (local.date() - first_day).days * DAY + local.hour * 60 + local.minute + local.second / 60


def span_words(minutes: float) -> str:
    """A stretch of time in words, whole hours: "3 d 1 h", "2 d", "2 h"; below an hour "40 min"."""
    whole = int(minutes)
    days, rest = divmod(whole, DAY)
    hours = rest // 60
    if days:
        return f"{days} d {hours} h" if hours else f"{days} d"
    return f"{hours} h" if hours else f"{whole} min"
