"""Figures by month: medians, shares, and the months themselves."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from statistics import median


def first_of(day: date) -> date:
    """The first day of a day's month."""
    return day.replace(day=1)


def months_to(day: date, count: int) -> list[date]:
    """The first days of so many months, the month of `day` last.

    >>> months_to(date(2026, 2, 14), 3)
    [datetime.date(2025, 12, 1), datetime.date(2026, 1, 1), datetime.date(2026, 2, 1)]
    """
    number = day.year * 12 + day.month - 1
    return [date(one // 12, one % 12 + 1, 1) for one in range(number - count + 1, number + 1)]


def month_after(month: date) -> date:
    """The first day of the next month."""
    return date(month.year + month.month // 12, month.month % 12 + 1, 1)


def percent(part: int, of: int) -> int | None:
    """A share in whole percent, halves up; None of nothing."""
    return (200 * part + of) // (2 * of) if of else None


def middle(values: Sequence[int]) -> float | None:
    """The median, None of nothing.

    Source: ISO 3534-1:2006, 1.13 (sample median), by Python's statistics.median.
    """
    return float(median(values)) if values else None
