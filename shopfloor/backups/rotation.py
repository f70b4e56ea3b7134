"""Which copies are let go: the newest of each of the last days, weeks and months stay."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

DAYS, WEEKS, MONTHS = 7, 5, 12


def let_go(made: Iterable[datetime]) -> set[datetime]:
    """Of copies made at these times in the studio's wall time, those that need not be kept.

    What stays: the newest copy of each of the last 7 days, 5 weeks and 12 months that have one. Days without
    a copy do not count, so that a studio that was closed for a month keeps as many as before.
    """
    newest_first = sorted(made, reverse=True)
    kept: set[datetime] = set()
    for period, count in ((_day, DAYS), (_week, WEEKS), (_month, MONTHS)):
        newest_of: dict[object, datetime] = {}
        for instant in newest_first:
            newest_of.setdefault(period(instant.date()), instant)
        kept.update(list(newest_of.values())[:count])
    return set(newest_first) - kept


def _day(day: date) -> object:
    return day


def _week(day: date) -> object:
    return day.isocalendar()[:2]


def _month(day: date) -> object:
    return (day.year, day.month)
