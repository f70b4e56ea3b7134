"""The studio as the apps see it (`inventory.ports.Studio`), put on every request by the middleware."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from inventory.ports import LookJob, OpenHours, PlanJob, Stands, StudioFacts, StudioHours
from orders.operations.assigning import offer_pieces
from orders.queries.keeping import kept_for
from orders.queries.needs import has_left, packaging_draws, wanted_by
from production.queries.needs import planned_draws
from production.queries.plan_age import AGES_THE_PLAN
from shopfloor.jobs.operations import ask, ask_to_stop
from shopfloor.jobs.queries import how_stands, looking_stands, planning_stands
from shopfloor.notices.operations import WATCH, watch_notices
from shopfloor.studio.papers import paper_response
from shopfloor.studio.queries import hours_before, studio_facts, studio_hours

# Acts that may end the cause of a notice: whatever moves amounts, opens moulds or sends pieces away.
ENDS_NOTICES = (
    "inventory.",
    "production.open_moulds",
    "production.undo_open_moulds",
    "production.finish_step",
    "production.undo_finish_step",
    "production.call_dry",
    "production.undo_call_dry",
    "production.retire_copy",
    "production.undo_retire_copy",
    "production.lend_copy",
    "production.undo_lend_copy",
    "production.bring_back_copy",
    "production.add_copies",
    "orders.ship_parcel",
    "orders.undo_ship_parcel",
)


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
        """Weekly hours, closed days and public holidays. Four queries."""
        return studio_hours(self.local(self.now()).date())

    @cached_property
    def hours_before(self) -> tuple[OpenHours, ...]:
        """Weekly hours that were taken out since, with their days. One query."""
        return hours_before()

    @cached_property
    def facts(self) -> StudioFacts:
        """Name, address and rates. One query."""
        return studio_facts()

    def kept_for(self, piece_ids: Iterable[int]) -> Mapping[int, str]:
        """Order number each piece is kept for. One query."""
        return kept_for(piece_ids)

    def has_left(self, wanted_by: Iterable[str]) -> Collection[str]:
        """Those of these demands that were shipped in full or called off. One query."""
        return has_left(wanted_by)

    def wanted_by(self, article_id: int) -> Sequence[str]:
        """Where an article is still to go: "order 1041: 2", "shelf stock: 4". Two queries."""
        return wanted_by(article_id)

    def offer_pieces(self, *, now: datetime, sorts: Collection[tuple[int, int]] | None = None) -> None:
        """Keep free pieces for the order lines that lack them."""
        offer_pieces(now=now, sorts=sorts)

    def planned_draws(self) -> Mapping[int, Sequence[tuple[date, int]]]:
        """What the plan and the open orders will take, by material: days with amounts (thousandths)."""
        today = self.local(self.now()).date()
        together: dict[int, list[tuple[date, int]]] = defaultdict(list)
        for draws in (planned_draws(ZoneInfo(settings.TIME_ZONE)), packaging_draws(today)):
            for material_id, days in draws.items():
                together[material_id].extend(days)
        return {material_id: sorted(days) for material_id, days in together.items()}

    def after_act(self, name: str) -> None:
        """Look at the notices at once after what may end one or put an order at risk."""
        if name.startswith(ENDS_NOTICES):
            watch_notices(self, now=self.now())
        if name in AGES_THE_PLAN:
            # Which orders are at risk by it takes longer to find out.
            ask(WATCH, WATCH, {}, now=self.now())

    def ask(self, kind: str, key: str, payload: Mapping[str, Any]) -> None:
        """Ask for work of a kind in the background; while work with that key is open, that is the answer."""
        ask(kind, key, dict(payload), now=self.now())

    def ask_to_stop(self, key: str) -> None:
        """Ask the work with this key to stop."""
        ask_to_stop(key, now=self.now())

    def stands(self, key: str) -> Stands | None:
        """How the newest work with this key stands, None when there was none. One query."""
        return how_stands(key)

    def plan_job(self) -> PlanJob:
        """How the planning stands. One query."""
        return planning_stands()

    def move_address(self, planned_mix_id: int) -> str:
        """Where a planned mix is moved to another time."""
        return reverse("mix-move", args=[planned_mix_id])

    def look_job(self) -> LookJob:
        """How the look into late lines stands. One query."""
        return looking_stands()

    def paper(
        self, request: HttpRequest, template: str, context: dict[str, Any], filename: str
    ) -> HttpResponse:
        """The paper as PDF, or as a print-ready page where PDFs cannot be made."""
        return paper_response(request, template, context, filename)
