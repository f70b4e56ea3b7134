"""What the frame around every page reads (see the head of templates/base.html)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import SimpleLazyObject

from production.queries.running import running_now
from shopfloor.kept.middleware import person_of
from shopfloor.notices.queries import noted_on
from shopfloor.studio.undo import undo_address
from shopfloor.studio.visits import TABLET


@dataclass(frozen=True)
class Area:
    """One of the nine areas, as the frame names it."""

    key: str
    name: str
    route: str
    letter: str

    @property
    def url(self) -> str:
        """Address of the area's first page."""
        return reverse(self.route)


AREAS = (
    Area("bench", "Bench", "production:bench", "b"),
    Area("week", "Week", "production:week", "w"),
    Area("shelf", "Shelf", "production:shelf", "s"),
    Area("orders", "Orders", "orders:orders", "o"),
    Area("stores", "Stores", "inventory:stores", "t"),
    Area("moulds", "Moulds", "production:moulds", "m"),
    Area("range", "Range", "production:range", "r"),
    Area("trace", "Trace", "trace", "c"),
    Area("studio", "Studio", "studio", "d"),
)


@dataclass(frozen=True)
class Said:
    """What the last act said, with the address of its Undo while it has one."""

    text: str
    undo_url: str
    wrong: bool


@dataclass(frozen=True)
class RunningClock:
    """The clock at the right of the frame and in the thumb line; `url` is where a tap goes."""

    line: str
    until: datetime | None
    after: str
    then: str
    url: str


def frame(request: HttpRequest) -> dict[str, Any]:
    """Areas, clock, said line and notices. What costs a query is read only by pages that show it."""
    studio = getattr(request, "studio", None)
    user = getattr(request, "user", None)
    if studio is None or user is None or not user.is_authenticated:
        return {"areas": (), "area": "", "running": None, "said": SimpleLazyObject(lambda: _said(request))}
    area = area_of(request)
    return {
        "areas": AREAS,
        "area": area,
        "person": person_of(request),
        "at_tablet": TABLET in getattr(request, "session", ()),
        "now_local": studio.local(studio.now()),
        "studio_name": SimpleLazyObject(lambda: studio.facts.name),
        "running": SimpleLazyObject(lambda: _running(studio.now())),
        "said": SimpleLazyObject(lambda: _said(request)),
        "noted": SimpleLazyObject(lambda: noted_on(area)),
    }


def area_of(request: HttpRequest) -> str:
    """Key of the area an address belongs to, by its first part; "" for none."""
    first = request.path.strip("/").split("/")[0]
    return first if any(first == area.key for area in AREAS) else ""


def _running(now: datetime) -> RunningClock:
    clock = running_now(now=now)
    return RunningClock(clock.line, clock.until, clock.after, clock.then, reverse("production:bench"))


def _said(request: HttpRequest) -> Said | None:
    """The said line, shown once: read by the template, so that a page without it does not swallow it."""
    kept = request.session.pop("said", None)
    if not kept:
        return None
    undo_url = undo_address(kept.get("act_id"))
    return Said(text=kept["text"], undo_url=undo_url, wrong=bool(kept.get("refused")))
