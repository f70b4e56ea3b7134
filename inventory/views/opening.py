"""Take in from a file what the stores hold when they begin: read, shown, chosen, kept."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.arithmetic.csv_text import decode
from inventory.arithmetic.opening_rows import SHOWN
from inventory.errors import StudioError
from inventory.forms.opening import OpeningFileForm
from inventory.operations.opening import keep_opening
from inventory.queries.opening import OpeningPreview, opening_preview, preview_of_text
from inventory.roles import owner_only


@require_http_methods(["GET", "POST"])
@owner_only
def choose_file(request: HttpRequest) -> HttpResponse:
    """Choose a file. It is read and shown; nothing is kept."""
    form = OpeningFileForm(request.POST, request.FILES) if request.method == "POST" else OpeningFileForm()
    if form.is_bound and form.is_valid():
        file = form.cleaned_data["file"]
        content = file.read()
        try:
            preview = opening_preview(file.name, content, **_around(request))
            return _show(request, preview, decode(content).text)
        except StudioError as fault:
            refuse_field(form, fault, "file")
    context = {"form": form, "columns": SHOWN.values()}
    return render(request, "inventory/opening.html", context, status=422 if form.is_bound else 200)


@require_POST
@owner_only
def keep(request: HttpRequest) -> HttpResponse:
    """Keep the rows that were chosen of what the page showed."""
    name, text = request.POST.get("name", "file"), request.POST.get("text", "")
    rows = sorted(int(row) for row in request.POST.getlist("row") if row.isdecimal() and len(row) < 9)
    try:
        shown = request.POST.get("shown", "")
        do(request, keep_opening, name=name, text=text, rows=rows, shown=shown, **_around(request))
        return redirect("inventory:tubs")
    except StudioError as fault:
        refuse(request, fault)
    try:
        return _show(request, preview_of_text(name, text, **_around(request)), text, status=422)
    except StudioError:
        return redirect("inventory:opening")


def _around(request: HttpRequest) -> dict[str, Any]:
    studio = request.studio
    return {"currency": studio.facts.currency, "today": studio.local(studio.now()).date()}


def _show(request: HttpRequest, preview: OpeningPreview, text: str, status: int = 200) -> HttpResponse:
    context = {
        "preview": preview,
        "faults": [(fault.row, SHOWN[fault.column], fault.sentence) for fault in preview.faults],
        "text": text,
        "request_key": new_request_key(),
        "currency": request.studio.facts.currency,
    }
    return render(request, "inventory/opening_preview.html", context, status=status)
