"""When hands are in, and what papers and costs need to know of the studio."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time, timedelta
from typing import Any

from django.utils.timezone import localdate

from inventory.operations.acts import Done, Tap, act
from inventory.queries.wording import week_day
from shopfloor.studio.errors import DayClosedAlready, HoursOverlap, NoSuchEntry
from shopfloor.studio.models import ClosedDay, HoursBefore, StudioSettings, WeeklyHours, WorkedHoliday
from shopfloor.studio.public_holidays import place_name


@act("studio.add_hours")
def add_hours(tap: Tap, *, weekdays: Sequence[int], opens: time, closes: time, pairs: int) -> Done:
    """Note a stretch of weekdays (0 is Monday) with `pairs` pairs of hands in, in the studio's wall time.

    Changes: a row of hours for each weekday; plans made before stay as they are. Again: the same rows.
    Raises: HoursOverlap, with no row kept.
    """
    rows = [
        WeeklyHours(weekday=weekday, opens=opens, closes=closes, pairs=pairs, since=localdate(tap.now))
        for weekday in sorted(weekdays)
    ]
    meeting = WeeklyHours.objects.filter(opens__lt=closes, closes__gt=opens)
    for row in rows:
        other = meeting.filter(weekday=row.weekday).first()
        if other:
            raise HoursOverlap(f"{other} is kept already, and {row} would meet it. Take that one out first.")
    WeeklyHours.objects.bulk_create(rows)
    named = str(rows[0])
    if len(rows) > 1:
        named = f"{rows[0].get_weekday_display()} to {rows[-1]}"
    return Done(f"{named} is kept. Plan again to use it.", {"hours_ids": [row.pk for row in rows]})


@act("studio.remove_hours")
def remove_hours(tap: Tap, *, hours_id: int) -> Done:
    """Take a stretch of a weekday out, from today on; what it was until then stays known.

    Changes: one row of hours removed, one of hours before kept. Again: nothing more.
    Raises: NoSuchEntry.
    """
    row = WeeklyHours.objects.filter(pk=hours_id).first()
    if row is None:
        raise NoSuchEntry("Those hours are not kept any more. Open the page again.", hours_id=hours_id)
    said = f"{row} is out. Plan again to use it."
    today = localdate(tap.now)
    if row.since != today:
        HoursBefore.objects.create(
            weekday=row.weekday,
            opens=row.opens,
            closes=row.closes,
            pairs=row.pairs,
            since=row.since,
            until=today,
        )
    row.delete()
    return Done(said)


@act("studio.close_days")
def close_days(tap: Tap, *, first: date, last: date, reason: str) -> Done:
    """Nobody is in from `first` to `last`, both counted.

    Changes: one row for each day. Again: nothing more.
    Raises: DayClosedAlready.
    """
    days = [first + timedelta(days=count) for count in range((last - first).days + 1)]
    today = localdate(tap.now)
    met = ClosedDay.objects.filter(on__in=days).first()
    if met:
        raise DayClosedAlready(
            f"{week_day(met.on, today)} is closed already. Leave it out.", field="first", on=str(met.on)
        )
    ClosedDay.objects.bulk_create(ClosedDay(on=day, reason=reason) for day in days)
    ends = dict.fromkeys((week_day(first, today), week_day(last, today)))
    span = " to ".join(ends)
    return Done(f"Nobody in on {span}. Plan again to use it.", {"days": len(days)})


@act("studio.open_day")
def open_day(tap: Tap, *, day_id: int) -> Done:
    """Take a day off the list of closed days.

    Changes: one row removed. Again: nothing more.
    Raises: NoSuchEntry.
    """
    row = ClosedDay.objects.filter(pk=day_id).first()
    if row is None:
        raise NoSuchEntry("That day is not on the list any more. Open the page again.", day_id=day_id)
    row.delete()
    return Done(f"{week_day(row.on, localdate(tap.now))} is a day like others again. Plan again to use it.")


@act("studio.keep_holidays")
def keep_holidays(tap: Tap, *, place: str) -> Done:
    """Take the public holidays of a place as closed days; "" for none.

    Changes: the studio's row. Again: nothing more.
    """
    StudioSettings.objects.update_or_create(pk=1, defaults={"holidays_of": place})
    if not place:
        return Done("Public holidays count as days like others. Plan again to use it.")
    return Done(f"Public holidays of {place_name(place)} are closed. Plan again to use it.")


@act("studio.work_holiday")
def work_holiday(tap: Tap, *, on: date) -> Done:
    """Be in on a public holiday all the same, in the hours of its weekday.

    Changes: one row. Again: nothing more.
    """
    WorkedHoliday.objects.get_or_create(on=on)
    return Done(f"In on {week_day(on, localdate(tap.now))}. Plan again to use it.")


@act("studio.keep_holiday")
def keep_holiday(tap: Tap, *, on: date) -> Done:
    """Be out on a public holiday again.

    Changes: one row removed. Again: nothing more.
    """
    WorkedHoliday.objects.filter(on=on).delete()
    return Done(f"Nobody in on {week_day(on, localdate(tap.now))}. Plan again to use it.")


@act("studio.keep_settings")
def keep_settings(tap: Tap, *, values: dict[str, Any]) -> Done:
    """Keep what papers and costs need to know: the fields of the studio's one row by name.

    Changes: the studio's row. Again: nothing more.
    """
    StudioSettings.objects.update_or_create(pk=1, defaults=values)
    return Done("Kept.")
