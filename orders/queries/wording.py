"""Days and counts as the orders say them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from production.queries.wording import clock, counted, day_clock, listed, span_words

__all__ = [
    "clock",
    "counted",
    "count_word",
    "day_clock",
    "leaves_words",
    "listed",
    "near_day",
    "quoted_numbers",
    "span_words",
]

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_NEAR_DAYS = 25


def near_day(day: date, today: date) -> str:
    """A day as the screens say it: "today", "Fri 9", far off with month, in another year with year."""
    if day == today:
        return "today"
    if day.year != today.year:
        return f"{day:%a} {day.day} {day:%b} {day.year}"
    return f"{day:%a} {day.day}" if abs((day - today).days) < _NEAR_DAYS else f"{day:%a} {day.day} {day:%b}"


def leaves_words(day: date, today: date) -> str:
    """Heading of a day in the list: "Leaves today", "Leaves Fri 9", "Should have left Mon 5"."""
    return f"{'Should have left' if day < today else 'Leaves'} {near_day(day, today)}"


def count_word(count: int) -> str:
    """A small count in letters: "one", "two" up to "ten", then figures."""
    return _WORDS[count] if 0 <= count < len(_WORDS) else str(count)


def quoted_numbers(numbers: Sequence[str]) -> str:
    """Order numbers in a row: "order 1041", "orders 1041 and 1044"."""
    return f"{'order' if len(numbers) == 1 else 'orders'} {listed(list(numbers))}"
