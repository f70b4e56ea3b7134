"""A time of day as people type it, as an instant."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo


def last_instant(typed: time, now: datetime, zone: ZoneInfo) -> datetime | None:
    """The last instant up to `now` at which the clock on the wall in `zone` showed this time, in UTC.

    Shortly after midnight 23:50 is that of the day before. A time that the clock shows twice is the later of
    the two that have been; None for one that it jumped over on the day that counts.
    """
    today = now.astimezone(zone).date()
    for day in (today, today - timedelta(days=1)):
        shown = datetime.combine(day, typed)
        instants = [shown.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (1, 0)]
        real = [one for one in instants if one.astimezone(zone).replace(tzinfo=None) == shown]
        if not real and min(instants) <= now:
            return None
        passed = [one for one in real if one <= now]
        if passed:
            return max(passed)
    return None
