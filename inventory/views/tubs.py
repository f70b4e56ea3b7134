"""One tub, one lot, and what is done to a tub itself."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from inventory.answers import do, refuse, refuse_field, save_form
from inventory.errors import StudioError
from inventory.forms.deliveries import LotPriceForm
from inventory.forms.tubs import TubEditForm, TubFieldsForm
from inventory.operations.places import make_tub, note_lumps, retire_tub
from inventory.operations.receiving import price_lot
from inventory.operations.undoing import UNDO
from inventory.queries.containers import lot_by_code, tub_page, tub_to_change
from inventory.queries.history import lot_moves, tub_history
from inventory.queries.lot_steps import lot_steps
from inventory.queries.materials import material
from inventory.roles import for_everyone, is_owner, owner_only
from inventory.views.showing import show_form


@for_everyone
def tub(request: HttpRequest, code: str) -> HttpResponse:
    """One tub with its history."""
    try:
        found = tub_page(code, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:tubs")
    history = tub_history(found.place_id, found.held, before=_before(request))
    context = {
        "tub": found,
        "history": history,
        "undoable": set(UNDO),
        "is_owner": is_owner(request.user),
    }
    return render(request, "inventory/tub.html", context)


@for_everyone
def lot(request: HttpRequest, code: str) -> HttpResponse:
    """One lot and where it went."""
    try:
        found = lot_by_code(code)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:tubs")
    moves, earlier_before = lot_moves(found.pk, before=_before(request))
    context = {
        "lot": found,
        "moves": moves,
        "earlier_before": earlier_before,
        "steps": lot_steps(found),
        "is_owner": is_owner(request.user),
        "today": request.studio.local(request.studio.now()).date(),
    }
    return render(request, "inventory/lot.html", context)


@owner_only
def lot_price(request: HttpRequest, code: str) -> HttpResponse:
    """Note what a lot cost, or correct it."""
    try:
        found = lot_by_code(code)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:list", "lots")
    form = LotPriceForm(
        request.POST or None,
        currency=request.studio.facts.currency,
        initial={"price": found.price_minor or None},
    )
    if request.method == "POST" and form.is_valid():
        price_minor = form.cleaned_data["price"] or 0
        do(request, price_lot, lot_id=found.pk, price_minor=price_minor)
        return redirect("inventory:lot", found.code)
    return show_form(request, "inventory/lot_price.html", form, lot=found)


@for_everyone
def make_tub_page(request: HttpRequest, material_id: int) -> HttpResponse:
    """A new tub for a material."""
    try:
        found = material(material_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:stores")
    form = TubFieldsForm(request.POST or None, material=found)
    if request.method == "POST" and form.is_valid():
        try:
            done = do(request, make_tub, material_id=found.pk, **form.content())
            return redirect("inventory:tub", done.facts["code"])
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "inventory/tub_make.html", form, material=found)


@for_everyone
def edit_tub(request: HttpRequest, code: str) -> HttpResponse:
    """Correct the empty weight, the capacity or the place of a tub."""
    try:
        found = tub_to_change(code)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:tubs")
    form = TubEditForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        save_form(request, form, f"{found.code} changed.")
        return redirect("inventory:tub", found.code)
    return show_form(request, "inventory/tub_edit.html", form, code=found.code)


@require_POST
@for_everyone
def lumps(request: HttpRequest, code: str) -> HttpResponse:
    """Note lumps in a tub, or that there are none any more."""
    try:
        found = tub_page(code, now=request.studio.now())
        do(request, note_lumps, container_id=found.container_id, is_lumpy=request.POST.get("lumpy") == "yes")
    except StudioError as fault:
        refuse(request, fault)
    return redirect("inventory:tub", code)


@require_POST
@owner_only
def retire(request: HttpRequest, code: str) -> HttpResponse:
    """Put an empty tub away for good."""
    now = request.studio.now()
    try:
        found = tub_page(code, now=now)
        do(request, retire_tub, container_id=found.container_id, on=request.studio.local(now).date())
    except StudioError as fault:
        refuse(request, fault)
    return redirect("inventory:tub", code)


def _before(request: HttpRequest) -> int | None:
    """Where the earlier rows begin, from the address."""
    asked = request.GET.get("before", "")
    return int(asked) if asked.isdecimal() and len(asked) < 19 else None
