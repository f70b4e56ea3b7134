from __future__ import annotations

from datetime import UTC, date, datetime, time
from uuid import uuid4

import pytest
from django.db import IntegrityError

from shopfloor.studio.errors import DayClosedAlready, HoursOverlap, NoSuchEntry
from shopfloor.studio.models import ClosedDay, HoursBefore, StudioSettings, WeeklyHours, WorkedHoliday
from shopfloor.studio.operations.opening import (
    add_hours,
    close_days,
    keep_holiday,
    keep_holidays,
    keep_settings,
    open_day,
    remove_hours,
    work_holiday,
)
from shopfloor.studio.queries import days_off, studio_hours

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)
SATURDAY = 5


def tap() -> dict[str, object]:
    return {"request_key": uuid4(), "now": NOW}


def test_a_stretch_of_saturday_is_kept(studio_open):
    done = add_hours(weekdays=[SATURDAY], opens=time(9), closes=time(12, 30), pairs=2, **tap())

    kept = WeeklyHours.objects.get(pk=done.facts["hours_ids"][0])
    assert (kept.weekday, kept.opens, kept.closes, kept.pairs) == (SATURDAY, time(9), time(12, 30), 2)
    assert done.said == "Saturday 09:00 to 12:30 is kept. Plan again to use it."


def test_a_stretch_that_meets_another_is_refused_with_both(studio_open):
    with pytest.raises(HoursOverlap) as refused:
        add_hours(weekdays=[0], opens=time(16), closes=time(19), pairs=1, **tap())

    assert refused.value.message == (
        "Monday 08:00 to 17:00 is kept already, and Monday 16:00 to 19:00 would meet it. "
        "Take that one out first."
    )
    assert WeeklyHours.objects.count() == 5


def test_the_working_days_are_kept_at_once_or_none_of_them(db):
    done = add_hours(weekdays=[0, 1, 2, 3, 4], opens=time(8, 30), closes=time(12), pairs=1, **tap())
    with pytest.raises(HoursOverlap):
        add_hours(weekdays=[3, 4, 5], opens=time(11), closes=time(13), pairs=1, **tap())

    assert done.said == "Monday to Friday 08:30 to 12:00 is kept. Plan again to use it."
    assert sorted(WeeklyHours.objects.values_list("weekday", flat=True)) == [0, 1, 2, 3, 4]


def test_a_stretch_may_begin_when_another_ends(studio_open):
    add_hours(weekdays=[0], opens=time(17), closes=time(19), pairs=1, **tap())

    assert WeeklyHours.objects.filter(weekday=0).count() == 2


def test_a_stretch_is_taken_out_and_a_second_tap_says_it_is_gone(studio_open):
    monday = WeeklyHours.objects.get(weekday=0)

    remove_hours(hours_id=monday.pk, **tap())

    assert not WeeklyHours.objects.filter(weekday=0).exists()
    before = HoursBefore.objects.get()
    assert (before.weekday, before.pairs, before.since) == (0, monday.pairs, None)
    with pytest.raises(NoSuchEntry):
        remove_hours(hours_id=monday.pk, **tap())


def test_the_database_itself_refuses_hours_that_end_before_they_begin(db):
    with pytest.raises(IntegrityError, match="weekly_hours_close_after_open"):
        WeeklyHours.objects.create(weekday=0, opens=time(12), closes=time(9))


def test_days_are_closed_from_the_first_to_the_last_over_the_end_of_the_year(studio_open):
    done = close_days(first=date(2026, 12, 30), last=date(2027, 1, 2), reason="holiday", **tap())

    assert done.said == "Nobody in on Wed 30 Dec to Sat 2 Jan 2027. Plan again to use it."
    assert list(ClosedDay.objects.values_list("on", flat=True)) == [
        date(2026, 12, 30),
        date(2026, 12, 31),
        date(2027, 1, 1),
        date(2027, 1, 2),
    ]


def test_a_day_closed_already_is_named_and_none_of_the_others_is_kept(studio_open):
    close_days(first=date(2026, 10, 9), last=date(2026, 10, 9), reason="", **tap())

    with pytest.raises(DayClosedAlready, match="Fri 9 Oct is closed already. Leave it out."):
        close_days(first=date(2026, 10, 8), last=date(2026, 10, 9), reason="", **tap())

    assert ClosedDay.objects.count() == 1


def test_a_closed_day_can_be_opened_again(studio_open):
    close_days(first=date(2026, 10, 9), last=date(2026, 10, 9), reason="", **tap())

    done = open_day(day_id=ClosedDay.objects.get().pk, **tap())

    assert done.said == "Fri 9 Oct is a day like others again. Plan again to use it."
    assert not ClosedDay.objects.exists()


def test_settings_stay_one_row(studio_open):
    keep_settings(values={"name": "Samphire Lane", "currency": "EUR", "hour_rate_minor": 1800}, **tap())

    row = StudioSettings.objects.get()
    assert (row.pk, row.currency, row.hour_rate_minor) == (1, "EUR", 1800)


BOXING_DAY = date(2026, 12, 28)
"""Boxing Day falls on a Saturday in 2026: the Monday after is the holiday (GOV.UK, from memory)."""


def test_public_holidays_of_the_place_are_closed_and_listed(studio_open):
    assert studio_hours(NOW.date()).is_working_day(BOXING_DAY)

    done = keep_holidays(place="GB-ENG", **tap())

    assert done.said == "Public holidays of United Kingdom, England are closed. Plan again to use it."
    hours = studio_hours(NOW.date())
    assert not hours.is_working_day(BOXING_DAY)
    assert not hours.is_working_day(date(2027, 3, 29))
    listed = {day.on: day for day in days_off(NOW.date())}
    assert (listed[BOXING_DAY].day_id, listed[BOXING_DAY].is_worked) == (None, False)
    assert min(listed) >= NOW.date()


def test_a_holiday_may_be_worked_all_the_same_and_be_one_again(studio_open):
    keep_holidays(place="GB-ENG", **tap())

    work_holiday(on=BOXING_DAY, **tap())
    work_holiday(on=BOXING_DAY, **tap())

    assert WorkedHoliday.objects.count() == 1
    assert studio_hours(NOW.date()).is_working_day(BOXING_DAY)
    assert next(day for day in days_off(NOW.date()) if day.on == BOXING_DAY).is_worked
    assert keep_holiday(on=BOXING_DAY, **tap()).said.startswith("Nobody in on Mon 28 Dec.")
    assert not studio_hours(NOW.date()).is_working_day(BOXING_DAY)


def test_an_own_closed_day_stays_closed_though_the_holiday_is_worked(studio_open):
    keep_holidays(place="GB-ENG", **tap())
    close_days(first=BOXING_DAY, last=BOXING_DAY, reason="at home", **tap())
    work_holiday(on=BOXING_DAY, **tap())

    assert not studio_hours(NOW.date()).is_working_day(BOXING_DAY)
    assert [day.reason for day in days_off(NOW.date()) if day.on == BOXING_DAY] == ["at home"]


def test_nowhere_has_no_holidays(studio_open):
    keep_holidays(place="GB-ENG", **tap())

    keep_holidays(place="", **tap())

    assert studio_hours(NOW.date()).closed_days == frozenset()
