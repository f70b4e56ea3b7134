"""The papers of a day: pick list, all packing slips and all care cards, each as one document."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, new_request_key, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone
from orders.queries.day import day_of, first_day_open
from production.drawings.mould_to_piece import wave_rule
from shopfloor.jobs.queries import job_stands
from shopfloor.journeys.day_papers import (
    AT_ONCE_MOST,
    CARDS,
    SLIPS,
    TEMPLATES,
    ask_for_papers,
    day_parcels,
    job_key,
    paper_contexts,
    paper_file,
)


@for_everyone
@require_GET
def day(request: HttpRequest) -> HttpResponse:
    """What leaves by a day, with its papers."""
    on = _day(request)
    found = day_of(on, now=request.studio.now())  # type: ignore[attr-defined]
    context: dict[str, Any] = {
        "area": "orders",
        "on": on,
        "found": found,
        "first": None if found.orders else first_day_open(),
        "at_once": len(found.to_print) <= AT_ONCE_MOST,
        "request_key": new_request_key(),
    }
    return render(request, "journeys/day_papers.html", context)


@for_everyone
@require_GET
def pick_list(request: HttpRequest) -> HttpResponse:
    """The pieces to take off the shelf for a day, article by article."""
    studio = request.studio  # type: ignore[attr-defined]
    on = _day(request)
    context = {"on": on, "day": day_of(on, now=studio.now()), "facts": studio.facts, "wave": wave_rule()}
    answer: HttpResponse = studio.paper(request, "journeys/papers/pick_list.html", context, "pick-list.pdf")
    return answer


@for_everyone
@require_GET
def day_paper(request: HttpRequest, what: str) -> HttpResponse:
    """The slips or care cards of a day in one document, while they are few (or as a page to print)."""
    studio = request.studio  # type: ignore[attr-defined]
    parcels = day_parcels(_day(request), now=studio.now(), home=studio.facts.country)
    if not parcels:
        refuse(request, StudioError("Nothing that leaves by that day is ready. Nothing to print."))
        return redirect("day-papers")
    (context,) = paper_contexts(what, parcels, studio, at_once=len(parcels))
    answer: HttpResponse = studio.paper(request, TEMPLATES[what], context, f"{what}.pdf")
    return answer


@for_everyone
@require_POST
def make(request: HttpRequest) -> HttpResponse:
    """Ask for a long document, and go where it will be."""
    what = SLIPS if request.POST.get("what") == SLIPS else CARDS
    try:
        done = do(request, ask_for_papers, what=what, day=_day(request))
    except StudioError as fault:
        refuse(request, fault)
        return redirect("day-papers")
    return redirect("day-paper-made", done.facts["key"])


@for_everyone
@require_GET
def made(request: HttpRequest, key: UUID) -> HttpResponse:
    """How the making of a document stands; the page asks again by itself until it is there."""
    stands = job_stands(job_key(key))
    if stands is None:
        raise Http404("No such document.")
    context = {"area": "orders", "key": key, "job": stands, "is_there": paper_file(key) is not None}
    template = (
        "journeys/_day_paper_made.html" if request.headers.get("HX-Request") else "journeys/day_paper.html"
    )
    return render(request, template, context)


@for_everyone
@require_GET
def made_file(request: HttpRequest, key: UUID) -> HttpResponseBase:
    """The document itself."""
    path = paper_file(key)
    if path is None:
        raise Http404("This document is not kept any more. Make it again.")
    return FileResponse(path.open("rb"), content_type="application/pdf", filename="papers.pdf")


def _day(request: HttpRequest) -> date:
    """The day asked for; today for none, or for nonsense."""
    typed = request.POST.get("day") or request.GET.get("day") or ""
    today: date = request.studio.local(request.studio.now()).date()  # type: ignore[attr-defined]
    try:
        return date.fromisoformat(typed)
    except ValueError:
        return today
