"""Pages of the frame for its tests, rendered as the studio renders them but without a database."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory

from shopfloor.notices.queries import Noted

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 10, 6, 8, 31, tzinfo=UTC).astimezone(LONDON)


@dataclass(frozen=True)
class AreaStub:
    """An area as the frame reads it."""

    key: str
    name: str
    url: str
    letter: str


@dataclass(frozen=True)
class RunningStub:
    """The clock that matters, as the frame reads it."""

    line: str
    until: datetime | None
    after: str = "to work"
    then: str = "then open trays 09:38"
    url: str = "/bench/"


NAMES = ("Bench", "Week", "Shelf", "Orders", "Stores", "Moulds", "Range", "Trace", "Studio")
AREAS = tuple(
    AreaStub(name.lower(), name, f"/{name.lower()}/", letter)
    for name, letter in zip(NAMES, "bwsotmrcd", strict=True)
)


def a_request(**cookies: str) -> HttpRequest:
    """A request with an empty session."""
    request = RequestFactory().get("/")
    request.COOKIES.update(cookies)
    request.session = {}  # type: ignore[assignment]
    return request


def frame_of(now: datetime = NOW, **changes: Any) -> dict[str, Any]:
    """What the context processor gives a page of the Bench while mix 312 is worked."""
    running = RunningStub("Mix 312", now + timedelta(minutes=11, seconds=8))
    given = {
        "areas": AREAS,
        "area": "bench",
        "running": running,
        "now_local": now,
        "studio_name": "Samphire Lane",
        "said": None,
        "noted": Noted("bench", (), 0),
        "messages": [],
    }
    return given | changes


def page_with(body: str, *, cookies: dict[str, str] | None = None, **context: Any) -> str:
    """A whole page whose main block is the template text `body`."""
    source = "{% extends 'base.html' %}{% load studio %}{% block main %}" + body + "{% endblock %}"
    template = engines["django"].from_string(source)
    now = context.pop("now", NOW)
    return template.render(frame_of(now) | context, a_request(**(cookies or {})))


def fragment(body: str, **context: Any) -> str:
    """A piece of template text on its own."""
    return engines["django"].from_string("{% load studio %}" + body).render(context, a_request())


def template_file(name: str, **context: Any) -> str:
    """A template of the frame."""
    return render_to_string(name, context, a_request())
