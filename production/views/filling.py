"""What goes into the cup: wax, fragrance and wicks of each fill."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import StudioError
from inventory.roles import for_everyone, owner_only
from production.forms.filling import FillForm
from production.operations.filling import set_wax_fill
from production.queries.cautions import FILL_CAUTIONS
from production.queries.filling import fill, fills


@for_everyone
@require_GET
def all_fills(request: HttpRequest) -> HttpResponse:
    """Every fill with what one piece takes."""
    return render(request, "production/fills.html", {"fills": fills(), "fill_cautions": FILL_CAUTIONS})


@owner_only
def edit_fill(request: HttpRequest, step_id: int) -> HttpResponse:
    """One fill, reckoned from the cup."""
    try:
        found = fill(step_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:fills")
    form = FillForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        try:
            do(request, set_wax_fill, step_id=step_id, **form.content())
            return redirect("production:fills")
        except StudioError as fault:
            refuse_field(form, fault)
    context = {
        "form": form,
        "step": found,
        "fill_cautions": FILL_CAUTIONS,
        "request_key": request.POST.get("request_key") or new_request_key(),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "production/fill_edit.html", context, status=status)


urlpatterns = [
    path("shelf/fills/", all_fills, name="fills"),
    path("shelf/fills/<int:step_id>/", edit_fill, name="fill"),
]
