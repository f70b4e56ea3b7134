"""Count a tub; note what was lost."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.answers import do, refuse, refuse_field
from inventory.errors import StudioError
from inventory.forms.moving import CountForm, SpillForm
from inventory.forms.tubs import ChooseTubForm
from inventory.operations.acts import Done
from inventory.operations.counting import count_container
from inventory.operations.spilling import note_spill
from inventory.queries.containers import tub_page
from inventory.roles import for_everyone
from inventory.views.showing import show_form


@for_everyone
def count_page(request: HttpRequest) -> HttpResponse:
    """Choose or scan a tub, then type what the scale shows."""
    return _about_a_tub(request, "count", "Count a tub", CountForm, count_container)


@for_everyone
def spill_page(request: HttpRequest) -> HttpResponse:
    """Choose a tub, then type what was lost."""
    return _about_a_tub(request, "spill", "Note a spill", SpillForm, note_spill)


def _about_a_tub(
    request: HttpRequest,
    route: str,
    heading: str,
    form_class: type[forms.Form],
    operation: Callable[..., Done],
) -> HttpResponse:
    code = request.GET.get("tub", "")
    if not code:
        context = {"form": ChooseTubForm(), "heading": heading}
        return render(request, "inventory/tub_choose.html", context)
    try:
        tub = tub_page(code, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect(f"inventory:{route}")
    form = form_class(request.POST or None, tub=tub)
    if request.method == "POST" and form.is_valid():
        typed = form.content() if isinstance(form, CountForm) else form.cleaned_data
        try:
            do(request, operation, container_id=tub.container_id, **typed)
            return redirect("inventory:tub", tub.code)
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, f"inventory/{route}.html", form, tub=tub, heading=heading)
