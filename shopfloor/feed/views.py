"""The calendar at its secret address, and the making of a new one."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from inventory.roles import after_proof, owner_only
from shopfloor.feed.entries import entries
from shopfloor.feed.icalendar import calendar_text
from shopfloor.feed.operations import end_address, is_the_address, new_address
from shopfloor.studio.visitors import for_visitors
from shopfloor.studio.ways_in import noted


@for_visitors
@never_cache
@require_safe
def calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar, for whoever knows the address."""
    if not is_the_address(secret):
        raise Http404("No calendar here.")
    studio = request.studio  # type: ignore[attr-defined]
    now, facts = studio.now(), studio.facts
    host = urlsplit(facts.site_address).hostname or "studio"
    text = calendar_text(
        entries(now=now, site_address=facts.site_address), name=facts.name, host=host, stamp=now
    )
    return HttpResponse(text, content_type="text/calendar; charset=utf-8")


@after_proof
@owner_only
@never_cache
@require_POST
def renew(request: HttpRequest) -> HttpResponse:
    """Make a new address and show it this once."""
    secret = new_address(now=request.studio.now())  # type: ignore[attr-defined]
    noted(request, "Made a new address for the calendar.")
    address = request.build_absolute_uri(reverse("calendar", args=[secret]))
    return render(request, "studio/calendar_address.html", {"address": address})


@owner_only
@require_POST
def end(request: HttpRequest) -> HttpResponse:
    """End the address."""
    end_address()
    noted(request, "Ended the address of the calendar.")
    request.session["said"] = {"text": "The calendar address has ended.", "act_id": None}
    return redirect("studio")
