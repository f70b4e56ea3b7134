"""Reading the studio's own rows."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.db.models import Exists, OuterRef, QuerySet

from inventory.ports import OpenHours, StudioFacts, StudioHours
from inventory.roles import OWNER_GROUP
from shopfloor.studio.models import ClosedDay, StudioSettings, WeeklyHours


def studio_hours() -> StudioHours:
    """Weekly hours and closed days, in the studio's zone. Two queries."""
    weekly = tuple(
        OpenHours(weekday=row.weekday, opens=row.opens, closes=row.closes, pairs=row.pairs)
        for row in WeeklyHours.objects.all()
    )
    closed = frozenset(ClosedDay.objects.values_list("on", flat=True))
    return StudioHours(zone=ZoneInfo(settings.TIME_ZONE), weekly=weekly, closed_days=closed)


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
    )


def hours_by_weekday() -> list[tuple[str, list[WeeklyHours]]]:
    """Each weekday with its stretches, Monday first; days without hands have none. One query."""
    rows = list(WeeklyHours.objects.all())
    return [
        (str(label), [row for row in rows if row.weekday == weekday])
        for weekday, label in WeeklyHours.Weekday.choices
    ]


def closed_days_from(day: date) -> QuerySet[ClosedDay]:
    """Closed days from `day` on, soonest first."""
    return ClosedDay.objects.filter(on__gte=day)


def people() -> QuerySet[User]:
    """Everybody who ever signed in here, with `is_owner`; those who may sign in first."""
    owners = Group.objects.filter(name=OWNER_GROUP, user=OuterRef("pk"))
    return User.objects.annotate(is_owner=Exists(owners)).order_by("-is_active", "-is_owner", "username")
