"""The studio as the apps see it (`inventory.ports.Studio`), put on every request by the middleware."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from inventory.ports import OpenHours, StudioFacts, StudioHours
from orders.operations.assigning import offer_pieces
from orders.queries.keeping import kept_for
from shopfloor.studio.models import ClosedDay, StudioSettings, WeeklyHours
from shopfloor.studio.papers import paper_response


class LiveStudio:
    """Reads the studio's own rows once per request, when first asked."""

    def now(self) -> datetime:
        """The present instant, aware, UTC."""
        return datetime.now(UTC)

    def local(self, instant: datetime) -> datetime:
        """The same instant in the studio's zone."""
        return instant.astimezone(ZoneInfo(settings.TIME_ZONE))

    @cached_property
    def hours(self) -> StudioHours:
        """Weekly hours and closed days. Two queries."""
        weekly = tuple(
            OpenHours(weekday=row.weekday, opens=row.opens, closes=row.closes, pairs=row.pairs)
            for row in WeeklyHours.objects.all()
        )
        closed = frozenset(ClosedDay.objects.values_list("on", flat=True))
        return StudioHours(zone=ZoneInfo(settings.TIME_ZONE), weekly=weekly, closed_days=closed)

    @cached_property
    def facts(self) -> StudioFacts:
        """Name, address and rates. One query."""
        row = StudioSettings.objects.filter(pk=1).first() or StudioSettings(pk=1)
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

    def kept_for(self, piece_ids: Iterable[int]) -> Mapping[int, str]:
        """Order number each piece is kept for. One query."""
        return kept_for(piece_ids)

    def offer_pieces(self, *, now: datetime) -> None:
        """Keep free pieces for the order lines that lack them."""
        offer_pieces(now=now)

    def paper(self, request: HttpRequest, template: str, context: dict[str, Any], filename: str) -> HttpResponse:
        """The paper as PDF, or as a print-ready page where PDFs cannot be made."""
        return paper_response(request, template, context, filename)
