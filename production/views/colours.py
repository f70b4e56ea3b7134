"""A colour with its recipes, swatches and tints, and the page of one mix."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET, require_http_methods

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import StudioError
from inventory.roles import for_everyone, is_owner, owner_only
from inventory.views.showing import show_form
from production.forms.swatches import SwatchForm, TintForm
from production.operations.swatches import add_tint, note_mix_swatch, note_recipe_swatch
from production.queries.colours import colour_page, mix_page


@for_everyone
@require_GET
def show_colour(request: HttpRequest, colour_id: int) -> HttpResponse:
    """One colour."""
    try:
        page = colour_page(colour_id)
    except StudioError as fault:
        return _to_range(request, fault)
    context = {"page": page, "colour": page.colour, "is_owner": is_owner(request.user)}
    return render(request, "production/colour.html", context)


@owner_only
@require_http_methods(["GET", "POST"])
def recipe_swatch(request: HttpRequest, colour_id: int, compound_id: int) -> HttpResponse:
    """Note what a colour in a compound should come out as."""
    try:
        page = colour_page(colour_id)
    except StudioError as fault:
        return _to_range(request, fault)
    recipe = next((one for one in page.recipes if one.compound.pk == compound_id), None)
    if recipe is None:
        return redirect("production:colour-page", colour_id)
    kept = recipe.shown.swatch if recipe.shown else None
    form = SwatchForm(
        request.POST or None, request.FILES or None, initial=kept and vars(kept) | {"photo": None}
    )
    keys = {"colour_id": colour_id, "compound_id": compound_id}
    if request.method == "POST" and _kept(request, form, note_recipe_swatch, **keys):
        return redirect("production:colour-page", colour_id)
    context = {"page": page, "colour": page.colour, "recipe": recipe}
    return show_form(request, "production/colour_swatch.html", form, **context)


@owner_only
@require_http_methods(["GET", "POST"])
def new_tint(request: HttpRequest, colour_id: int) -> HttpResponse:
    """Make a tint of a colour."""
    try:
        page = colour_page(colour_id)
    except StudioError as fault:
        return _to_range(request, fault)
    form = TintForm(request.POST or None, initial={"strength": 0.5})
    if request.method == "POST" and form.is_valid():
        try:
            do(request, add_tint, colour_id=colour_id, **form.cleaned_data)
            return redirect("production:colour-page", colour_id)
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "production/colour_tint.html", form, page=page, colour=page.colour)


@for_everyone
@require_http_methods(["GET", "POST"])
def show_mix(request: HttpRequest, number: int) -> HttpResponse:
    """One mix as it was weighed; its swatch is noted here."""
    try:
        page = mix_page(number)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:bench")
    form = SwatchForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and _kept(request, form, note_mix_swatch, mix_id=page.mix.pk):
        return redirect("production:mix", number)
    context = {
        "page": page,
        "mix": page.mix,
        "form": form,
        "request_key": request.POST.get("request_key") or new_request_key(),
    }
    return render(request, "production/mix.html", context, status=422 if request.method == "POST" else 200)


def _kept(request: HttpRequest, form: SwatchForm, operation: Any, **keys: int) -> bool:
    if not form.is_valid():
        return False
    try:
        do(request, operation, **keys, **form.content())
    except StudioError as fault:
        refuse_field(form, fault)
        return False
    return True


def _to_range(request: HttpRequest, fault: StudioError) -> HttpResponse:
    refuse(request, fault)
    return redirect("production:range")


urlpatterns = [
    path("range/colours/<int:colour_id>/recipes/", show_colour, name="colour-page"),
    path("range/colours/<int:colour_id>/tint/", new_tint, name="colour-tint"),
    path(
        "range/colours/<int:colour_id>/recipes/<int:compound_id>/swatch/", recipe_swatch, name="colour-swatch"
    ),
    path("bench/mix/<int:number>/", show_mix, name="mix"),
]
