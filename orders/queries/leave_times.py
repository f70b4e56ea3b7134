"""When a parcel leaves on its day."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from inventory.ports import StudioHours

DAYS_LOOKED_BACK = 28


def leaves_at(hours: StudioHours, day: date) -> datetime:
    """The last moment to have something packed that leaves on `day`: its closing time, or the last before it.

    Without any hours within four weeks it is the end of the day.
    """
    for back in range(DAYS_LOOKED_BACK):
        open_day = day - timedelta(days=back)
        closes = [one.closes for one in hours.weekly if one.weekday == open_day.weekday()]
        if closes and open_day not in hours.closed_days:
            return datetime.combine(open_day, max(closes), tzinfo=hours.zone)
    return datetime.combine(day + timedelta(days=1), time(), tzinfo=hours.zone)
