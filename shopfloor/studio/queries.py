"""Reading the studio's own rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.db.models import Exists, OuterRef, QuerySet

from inventory.ports import OpenHours, StudioFacts, StudioHours
from inventory.roles import OWNER_GROUP
from shopfloor.studio.models import ClosedDay, HoursBefore, StudioSettings, WeeklyHours, WorkedHoliday
from shopfloor.studio.public_holidays import public_holidays

# Public holidays are known from the year before to so many years ahead: further than any plan looks.
HOLIDAY_YEARS = 2
LISTED_DAYS = 366


def studio_hours(today: date) -> StudioHours:
    """Weekly hours and closed days, in the studio's zone. Four queries.

    Closed are the studio's own days and the public holidays of its place, less those that are worked.
    """
    weekly = tuple(
        OpenHours(weekday=row.weekday, opens=row.opens, closes=row.closes, pairs=row.pairs, since=row.since)
        for row in WeeklyHours.objects.all()
    )
    own = set(ClosedDay.objects.values_list("on", flat=True))
    worked = set(WorkedHoliday.objects.values_list("on", flat=True))
    public = _holidays(today.year - 1, today.year + HOLIDAY_YEARS)
    closed = frozenset(own | (set(public) - worked))
    return StudioHours(zone=ZoneInfo(settings.TIME_ZONE), weekly=weekly, closed_days=closed)


def hours_before() -> tuple[OpenHours, ...]:
    """Weekly hours that were taken out since, with their days. One query."""
    return tuple(
        OpenHours(row.weekday, row.opens, row.closes, row.pairs, row.since, row.until)
        for row in HoursBefore.objects.all()
    )


@dataclass(frozen=True)
class DayOff:
    """A day on the list of days nobody is in: own ones have a `day_id`, a holiday may be worked."""

    on: date
    reason: str
    day_id: int | None = None
    is_worked: bool = False

    @property
    def named(self) -> dict[str, str]:
        """The day as its plates send it."""
        return {"on": self.on.isoformat()}


def days_off(today: date) -> list[DayOff]:
    """Own closed days ahead and the public holidays of a year ahead, soonest first. Three queries.

    A holiday that is an own closed day too is listed once, as that.
    """
    own = {row.on: DayOff(row.on, row.reason, row.pk) for row in ClosedDay.objects.filter(on__gte=today)}
    worked = set(WorkedHoliday.objects.values_list("on", flat=True))
    last = today + timedelta(days=LISTED_DAYS)
    public = {
        day: DayOff(day, name, is_worked=day in worked)
        for day, name in _holidays(today.year, last.year).items()
        if today <= day < last
    }
    return sorted((public | own).values(), key=lambda one: one.on)


def _holidays(first_year: int, last_year: int) -> Mapping[date, str]:
    """One query."""
    place = studio_settings().holidays_of
    return public_holidays(place, first_year, last_year) if place else {}


def studio_settings() -> StudioSettings:
    """The studio's one row, with the defaults where it was never saved. One query."""
    return StudioSettings.objects.filter(pk=1).first() or StudioSettings(pk=1)


def studio_facts() -> StudioFacts:
    """Name, address and rates, as the apps may see them. One query."""
    row = studio_settings()
    return StudioFacts(
        name=row.name,
        address=row.address,
        contact=row.contact,
        currency=row.currency,
        hour_rate_minor=row.hour_rate_minor,
        late_step_days=row.late_step_days,
        drying_board_pieces=row.drying_board_pieces,
        site_address=settings.SITE_ADDRESS,
        country=row.country,
        slip_size=row.slip_size,
        sheet_size=row.sheet_size,
        wick_mm=row.wick_mm,
        forget_after_months=row.forget_after_months,
        card_language=row.card_language,
        card_words=row.card_words,
    )


def hours_by_weekday() -> list[tuple[str, list[WeeklyHours]]]:
    """Each weekday with its stretches, Monday first; days without hands have none. One query."""
    rows = list(WeeklyHours.objects.all())
    return [
        (str(label), [row for row in rows if row.weekday == weekday])
        for weekday, label in WeeklyHours.Weekday.choices
    ]


def people() -> QuerySet[User]:
    """Everybody who ever signed in here, with `is_owner`; those who may sign in first."""
    owners = Group.objects.filter(name=OWNER_GROUP, user=OuterRef("pk"))
    return User.objects.annotate(is_owner=Exists(owners)).order_by("-is_active", "-is_owner", "username")
