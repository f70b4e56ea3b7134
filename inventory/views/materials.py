"""Materials."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.answers import refuse, save_form
from inventory.errors import StudioError
from inventory.forms.materials import MaterialForm
from inventory.queries.materials import material, material_page
from inventory.roles import for_everyone, owner_only
from inventory.views.showing import show_form


@for_everyone
def show_material(request: HttpRequest, material_id: int) -> HttpResponse:
    """One material, its tubs and its orders."""
    try:
        page = material_page(material_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:stores")
    return render(request, "inventory/material.html", {"page": page, "material": page.material})


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
