"""After a parcel has left: what came back, and how often what breaks in the post."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.arithmetic.csv_writing import csv_text
from inventory.errors import StudioError
from inventory.roles import for_everyone
from orders.forms.leaving import ReplacementForm, ReturnForm
from orders.operations.after_sale import note_return, send_replacement
from orders.queries.breakage import breakage
from orders.views.taking import page_of

HEADINGS = ("packed in", "parcels", "pieces", "broken", "broken from %", "broken to %")


@for_everyone
@require_http_methods(["GET", "POST"])
def came_back(request: HttpRequest, number: str) -> HttpResponse:
    """Note pieces of an order that came back or arrived broken."""
    page = page_of(request, number)
    form = ReturnForm(request.POST or None, marks=page.can_come_back)
    if request.method == "POST" and form.is_valid():
        try:
            do(request, note_return, order_id=page.id, **form.cleaned_data)
            return redirect("orders:order", page.number)
        except StudioError as fault:
            refuse_field(form, fault)
    context: dict[str, Any] = {
        "order": page,
        "form": form,
        "request_key": request.POST.get("request_key") or new_request_key(),
    }
    return render(request, "orders/came_back.html", context, status=422 if form.is_bound else 200)


@for_everyone
@require_POST
def replace(request: HttpRequest, number: str) -> HttpResponse:
    """Make the order that replaces what came back."""
    page = page_of(request, number)
    form = ReplacementForm(request.POST)
    try:
        if form.is_valid():
            done = do(request, send_replacement, order_id=page.id, ship_by=form.cleaned_data["ship_by"])
            return redirect("orders:order", done.facts["number"])
        refuse(request, StudioError("Give the day the replacement leaves, such as 2026-10-12."))
    except StudioError as fault:
        refuse(request, fault)
    return redirect("orders:order", page.number)


@for_everyone
@require_GET
def breakage_page(request: HttpRequest) -> HttpResponse:
    """What broke in the post in a year, by what it was packed in; ?as=csv as a file."""
    rows = breakage(now=request.studio.now())
    if request.GET.get("as") != "csv":
        return render(request, "orders/breakage.html", {"rows": rows})
    lines = [
        (
            row.packed_in,
            row.parcels,
            row.pieces,
            row.broken,
            f"{row.low_percent:.1f}",
            f"{row.high_percent:.1f}",
        )
        for row in rows
    ]
    answer = HttpResponse(csv_text(HEADINGS, lines), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="breakage.csv"'
    return answer
