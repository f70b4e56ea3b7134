"""Decant by scale readings."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.answers import do, refuse, refuse_field
from inventory.errors import StudioError
from inventory.forms.moving import ChooseDecantForm, DecantForm
from inventory.operations.decanting import decant
from inventory.queries.decant_proposal import tub_states
from inventory.roles import for_everyone
from inventory.views.showing import show_form


@for_everyone
def decant_page(request: HttpRequest) -> HttpResponse:
    """Choose the two tubs, then type what the scale shows."""
    codes = request.GET.get("source", ""), request.GET.get("target", "")
    if not all(codes):
        form = ChooseDecantForm(request.GET or None)
        return render(request, "inventory/decant_choose.html", {"form": form})
    try:
        source, target = tub_states(codes)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:decant")
    form = DecantForm(request.POST or None, source=source, target=target)
    if request.method == "POST" and form.is_valid():
        tubs = {"source_id": source.container_id, "target_id": target.container_id}
        try:
            do(request, decant, **tubs, **form.content())
            return redirect("inventory:stores")
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "inventory/decant.html", form, source=source, target=target)
