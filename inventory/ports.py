"""What the apps receive from above: the studio as they may see it.

The project package puts an object of this shape on every request (`request.studio`), so that the apps know
the time, the studio's hours and the printing of papers without importing anything above them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse


@dataclass(frozen=True)
class OpenHours:
    """One stretch of a weekday with hands in: weekday 0 is Monday; wall times in the studio's zone.

    It held from `since` to before `until`; None is ever and still.
    """

    weekday: int
    opens: time
    closes: time
    pairs: int
    since: date | None = None
    until: date | None = None

    def held_on(self, day: date) -> bool:
        """Whether hands were in by it on `day`."""
        begun = self.since is None or self.since <= day
        return self.weekday == day.weekday() and begun and (self.until is None or day < self.until)


@dataclass(frozen=True)
class StudioHours:
    """When hands are in: weekly stretches, and days on which nobody is in whatever the weekday."""

    zone: ZoneInfo
    weekly: tuple[OpenHours, ...]
    closed_days: frozenset[date]

    def pairs_at(self, instant: datetime) -> int:
        """How many pairs of hands are in at an instant; 0 when nobody is."""
        local = instant.astimezone(self.zone)
        if local.date() in self.closed_days:
            return 0
        at = local.time()
        today = (hours for hours in self.weekly if hours.weekday == local.weekday())
        return sum(hours.pairs for hours in today if hours.opens <= at < hours.closes)

    def is_working_day(self, day: date) -> bool:
        """Whether anybody is in on `day`."""
        return day not in self.closed_days and any(hours.weekday == day.weekday() for hours in self.weekly)


@dataclass(frozen=True)
class PlanJob:
    """How the planning stands, and where its buttons post to. `saying` is what it is at, "" at first."""

    ask_address: str
    stop_address: str
    is_running: bool
    saying: str
    fault: str


@dataclass(frozen=True)
class LookJob:
    """How the look into late lines stands, and where its buttons post to.

    `plan_id` is the plan it looks into, None before the first. `saying` is what it is at, "" at first.
    """

    ask_address: str
    stop_address: str
    plan_id: int | None
    is_running: bool
    saying: str
    fault: str


@dataclass(frozen=True)
class Stands:
    """How work in the background stands: steps done of all, the fault it ended with, or what it gave."""

    is_running: bool
    is_stopped: bool
    done: int
    of: int
    saying: str
    fault: str
    result: Mapping[str, Any]


@dataclass(frozen=True)
class StudioFacts:
    """What papers and costs need to know of the studio."""

    name: str
    address: str
    contact: str
    currency: str
    hour_rate_minor: int
    late_step_days: int
    drying_board_pieces: int
    site_address: str
    country: str = "GB"
    slip_size: str = "a5"
    sheet_size: str = "a4"
    wick_mm: int = 6
    forget_after_months: int | None = None
    card_language: str = "en-GB"
    card_words: str = ""


class Studio(Protocol):
    """The studio on a request."""

    @property
    def hours(self) -> StudioHours:
        """When hands are in."""

    @property
    def hours_before(self) -> Sequence[OpenHours]:
        """When hands were in: weekly hours that were taken out since."""

    @property
    def facts(self) -> StudioFacts:
        """Name, address and rates."""

    def now(self) -> datetime:
        """The present instant, aware, UTC."""

    def local(self, instant: datetime) -> datetime:
        """The same instant in the studio's zone."""

    def kept_for(self, piece_ids: Iterable[int]) -> Mapping[int, str]:
        """Order number each piece is kept for; pieces kept for nobody are left out. One query."""

    def has_left(self, wanted_by: Iterable[str]) -> Collection[str]:
        """Those of these demands that were shipped in full or called off. One query."""

    def wanted_by(self, article_id: int) -> Sequence[str]:
        """Where an article is still to go: "order 1041: 2", "shelf stock: 4". Two queries."""
        ...

    def offer_pieces(self, *, now: datetime, sorts: Collection[tuple[int, int]] | None = None) -> None:
        """Keep free pieces for the order lines that lack them. Called inside the caller's transaction.

        `sorts`: only these (article id, colour id) are concerned.
        """

    def planned_draws(self) -> Mapping[int, Sequence[tuple[date, int]]]:
        """What the plan and the open orders will take, by material: days with amounts (thousandths)."""
        ...

    def after_act(self, name: str) -> None:
        """What the studio does at once after an act called `name` ("app.operation"): look at the notices."""
        ...

    def ask(self, kind: str, key: str, payload: Mapping[str, Any]) -> None:
        """Ask for work of a kind in the background; while work with that key is open, that is the answer."""
        ...

    def ask_to_stop(self, key: str) -> None:
        """Ask the work with this key to stop."""
        ...

    def stands(self, key: str) -> Stands | None:
        """How the newest work with this key stands, None when there was none. One query."""
        ...

    def plan_job(self) -> PlanJob:
        """How the planning stands. One query."""
        ...

    def move_address(self, planned_mix_id: int) -> str:
        """Where a planned mix is moved to another time."""
        ...

    def look_job(self) -> LookJob:
        """How the look into late lines stands. One query."""
        ...

    def paper(
        self, request: HttpRequest, template: str, context: dict[str, Any], filename: str
    ) -> HttpResponse:
        """The paper as PDF, or as a print-ready page where PDFs cannot be made."""


Offer = Callable[..., None]
