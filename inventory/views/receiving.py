"""Take in a delivery; note an order placed."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.answers import do, refuse, refuse_field
from inventory.errors import PastItsDate, StudioError, TakenInBefore
from inventory.forms.deliveries import ExpectForm, ReceiveForm
from inventory.forms.materials import ChooseMaterialForm
from inventory.forms.tubs import TubFieldsForm
from inventory.operations.ordering import expect_delivery
from inventory.operations.receiving import receive_lot
from inventory.queries.deliveries import open_delivery
from inventory.queries.materials import any_material, material
from inventory.roles import for_everyone, is_owner, prices_in
from inventory.views.showing import show_form

# What may be ticked to go on all the same, by the refusal that asks for it.
ASKS = {TakenInBefore: "is_another", PastItsDate: "although_past"}


@for_everyone
def receive_page(request: HttpRequest) -> HttpResponse:
    """Choose the material, then type what came in and where it goes."""
    found = _chosen_material(request)
    if found is None:
        return _choose(request, "receive", "Take in a delivery")
    today = request.studio.local(request.studio.now()).date()
    asks = ""
    form = ReceiveForm(
        request.POST or None,
        material=found,
        currency=prices_in(request),
        today=today,
        initial=_as_ordered(request, found) | {"received_on": today},
    )
    new_tub = TubFieldsForm(
        request.POST if request.POST and not request.POST.get("container") else None,
        material=found,
        prefix="tub",
    )
    if (
        request.method == "POST"
        and form.is_valid()
        and (form.cleaned_data["container"] or new_tub.is_valid())
    ):
        content = form.content()
        if content["container_id"] is None:
            content["new_container"] = new_tub.content()
        try:
            done = do(request, receive_lot, material_id=found.pk, **content)
            return redirect("inventory:tub", done.facts["code"])
        except StudioError as fault:
            asks = ASKS.get(type(fault), "")
            refuse_field(
                new_tub if fault.facts.get("field") in new_tub.fields and new_tub.is_bound else form, fault
            )
    return show_form(request, "inventory/receive.html", form, material=found, new_tub=new_tub, asks=asks)


def _as_ordered(request: HttpRequest, found: Any) -> dict[str, Any]:
    """What is typed in already: of the order that came in, if the address names one."""
    ordered = open_delivery(request.GET.get("delivery", ""), found.pk)
    if ordered is None:
        return {"supplier": found.supplier_id}
    return {
        "delivery": ordered.pk,
        "amount": ordered.amount,
        "price": ordered.price_minor or None,
        "supplier": ordered.order.supplier_id if ordered.order else found.supplier_id,
    }


@for_everyone
def expect_page(request: HttpRequest) -> HttpResponse:
    """Choose the material, then type what was ordered and when it should come."""
    found = _chosen_material(request)
    if found is None:
        return _choose(request, "expect", "Note an order placed")
    today = request.studio.local(request.studio.now()).date()
    form = ExpectForm(request.POST or None, material=found, initial={"ordered_on": today})
    if request.method == "POST" and form.is_valid():
        try:
            do(request, expect_delivery, material_id=found.pk, **form.cleaned_data)
            return redirect("inventory:stores")
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "inventory/expect.html", form, material=found)


def _chosen_material(request: HttpRequest):
    """The material of the address, None when there is none or it is unknown (said on the next page)."""
    asked = request.GET.get("material", "")
    if not asked:
        return None
    try:
        if not asked.isdecimal():
            raise StudioError("There is no such material. Choose one from the list.")
        return material(int(asked))
    except StudioError as fault:
        refuse(request, fault)
        return None


def _choose(request: HttpRequest, route: str, heading: str) -> HttpResponse:
    context = {
        "form": ChooseMaterialForm(),
        "heading": heading,
        "any_material": any_material(),
        "is_owner": is_owner(request.user),
    }
    return render(request, "inventory/material_choose.html", context)
