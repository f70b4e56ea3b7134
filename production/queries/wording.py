"""Times and waits as the bench says them, in the studio's own clock."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.utils.timezone import localtime

MINUTES_PER_HOUR = 60
MINUTES_PER_DAY = 24 * MINUTES_PER_HOUR


def clock(at: datetime) -> str:
    """The time of day, "09:33"."""
    return f"{localtime(at):%H:%M}"


def day_clock(at: datetime, now: datetime) -> str:
    """The time of day, with the day before it unless it is today: "15:50", "Thu 8, 09:10"."""
    local = localtime(at)
    if local.date() == localtime(now).date():
        return f"{local:%H:%M}"
    return f"{local:%a} {local.day}, {local:%H:%M}"


def said_clock(at: datetime, now: datetime) -> str:
    """As `day_clock`, with the word today where it is today: "today 15:50"."""
    words = day_clock(at, now)
    return words if "," in words else f"today {words}"


def whole_minutes(span: timedelta) -> int:
    """A span in whole minutes, begun minutes counted."""
    return -int(-span.total_seconds() // 60)


def span_words(minutes: int) -> str:
    """A span as the screens say it: "7 min", "2 h", "2 h 10", "1 d 2 h"."""
    minutes = abs(minutes)
    if minutes < MINUTES_PER_HOUR:
        return f"{minutes} min"
    if minutes < MINUTES_PER_DAY:
        hours, rest = divmod(minutes, MINUTES_PER_HOUR)
        return f"{hours} h {rest:02}" if rest else f"{hours} h"
    days, rest = divmod(minutes, MINUTES_PER_DAY)
    hours = rest // MINUTES_PER_HOUR
    return f"{days} d {hours} h" if hours else f"{days} d"


def counted(count: int, noun: str) -> str:
    """A count with its noun: "1 piece", "4 pieces"; "dish" becomes "dishes"."""
    if count == 1:
        return f"1 {noun}"
    return f"{count} {noun}es" if noun.endswith(("sh", "ch", "s", "x")) else f"{count} {noun}s"


def copies_words(numbers: Sequence[int]) -> str:
    """Copies of one mould: "copy 2", "copies 1 and 2", "copies 1, 2 and 4"."""
    names = [str(number) for number in sorted(numbers)]
    if len(names) == 1:
        return f"copy {names[0]}"
    return f"copies {', '.join(names[:-1])} and {names[-1]}"


def listed(words: Sequence[str]) -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
