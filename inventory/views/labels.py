"""The label of a tub."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from inventory.answers import refuse
from inventory.errors import StudioError
from inventory.papers.tub_label import label_of
from inventory.queries.containers import tub_page
from inventory.roles import for_everyone


@for_everyone
def tub_label(request: HttpRequest, code: str) -> HttpResponse:
    """The label as a paper of 62 by 100 mm."""
    try:
        tub = tub_page(code, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:tubs")
    context = label_of(tub, site_address=request.studio.facts.site_address)
    return request.studio.paper(request, "inventory/papers/tub_label.html", context, f"tub {tub.code}.pdf")
