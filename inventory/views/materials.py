"""Materials."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.answers import refuse, save_form
from inventory.errors import StudioError
from inventory.forms.materials import MaterialForm
from inventory.queries.materials import material, material_page
from inventory.queries.pack_sizes import pack_sizes, packs_of
from inventory.queries.running_out import running_out
from inventory.queries.to_order import eaten_words
from inventory.roles import for_everyone, is_owner, owner_only, prices_in
from inventory.views.pictures import stair_of
from inventory.views.showing import show_form


@for_everyone
def show_material(request: HttpRequest, material_id: int) -> HttpResponse:
    """One material, its tubs and its orders."""
    try:
        page = material_page(material_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:stores")
    context = {
        "page": page,
        "material": page.material,
        "is_owner": is_owner(request.user),
        **_how_long_it_lasts(request, page.material),
    }
    return render(request, "inventory/material.html", context)


@owner_only
def edit_material(request: HttpRequest, material_id: int | None = None) -> HttpResponse:
    """Add a material, or change one."""
    try:
        found = material(material_id) if material_id else None
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:stores")
    form = MaterialForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        saved = save_form(request, form, f"{form.cleaned_data['name']} {'changed' if found else 'added'}.")
        return redirect("inventory:material", saved.pk)
    return show_form(request, "inventory/material_edit.html", form, material=found)


def _how_long_it_lasts(request: HttpRequest, found: Any) -> dict[str, Any]:
    """The stair of a material in use, the same as a table, and what its packs really cost."""
    studio = request.studio
    now_local = studio.local(studio.now())
    rows = running_out(now_local.date(), studio.planned_draws(), studio.hours.is_working_day)
    row = next((one for one in rows if one.material_id == found.pk), None)
    if row is None:
        return {}
    packs = packs_of(found, pack_sizes())
    return {
        "row": row,
        "stair": stair_of(row, now_local),
        "days": [day for day in row.balances if day.drawn or day.delivered],
        "packs": packs,
        "eaten": eaten_words(found, packs, row.mean_daily, prices_in(request)),
    }
