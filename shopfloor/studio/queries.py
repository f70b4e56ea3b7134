"""Reading the studio's own rows."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.conf import settings

from inventory.ports import OpenHours, StudioFacts, StudioHours
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
