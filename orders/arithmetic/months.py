"""Calendar months back from an instant."""

from __future__ import annotations

from calendar import monthrange
from datetime import datetime


def months_before(at: datetime, months: int) -> datetime:
    """The same wall time so many months before, on the last day of the month where it has no such day."""
    year, month = divmod(at.year * 12 + at.month - 1 - months, 12)
    last = monthrange(year, month + 1)[1]
    return at.replace(year=year, month=month + 1, day=min(at.day, last))
