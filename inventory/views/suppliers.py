"""Suppliers: what they sell, what is ordered there, what to order next."""

from __future__ import annotations

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.answers import do, refuse, refuse_field, save_form
from inventory.arithmetic.projection import NoWorkingDay, in_by_day
from inventory.errors import StudioError
from inventory.forms.materials import SupplierForm
from inventory.forms.ordering import PackForm, PlaceOrderForm, PutOffForm
from inventory.operations.ordering import (
    call_off_delivery,
    drop_pack,
    keep_pack,
    place_order,
    put_off_delivery,
)
from inventory.queries.running_out import running_out
from inventory.queries.suppliers import (
    SupplierPage,
    placed_orders,
    supplier,
    supplier_pack,
    supplier_page,
)
from inventory.queries.to_order import SupplierToOrder, to_order
from inventory.roles import for_everyone, is_owner, owner_only, prices_in
from inventory.views.showing import show_form


@require_GET
@for_everyone
def to_order_page(request: HttpRequest) -> HttpResponse:
    """What to order, supplier by supplier."""
    found = _to_order(request)
    return render(request, "inventory/to_order.html", {"suppliers": found})


@require_GET
@for_everyone
def placed_page(request: HttpRequest) -> HttpResponse:
    """What is ordered and not in."""
    today = request.studio.local(request.studio.now()).date()
    context = {"orders": placed_orders(), "today": today}
    return render(request, "inventory/placed.html", context)


@require_http_methods(["GET", "POST"])
@for_everyone
def show_supplier(request: HttpRequest, supplier_id: int) -> HttpResponse:
    """One supplier: what is sold there, and an order to place."""
    try:
        page = supplier_page(supplier_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:list", "suppliers")
    today = request.studio.local(request.studio.now()).date()
    form = PlaceOrderForm(
        request.POST or None,
        sold=page.sold,
        currency=prices_in(request),
        suggested=_suggested(request, supplier_id) if request.method == "GET" else None,
        initial={"ordered_on": today, "expected_on": _expected_on(request, page, today)},
    )
    if request.method == "POST" and form.is_valid():
        try:
            do(request, place_order, supplier_id=supplier_id, **form.content())
            return redirect("inventory:placed")
        except StudioError as fault:
            refuse_field(form, fault)
    context = {"page": page, "supplier": page.supplier, "is_owner": is_owner(request.user)}
    return show_form(request, "inventory/supplier.html", form, **context)


@require_http_methods(["GET", "POST"])
@owner_only
def edit_supplier(request: HttpRequest, supplier_id: int | None = None) -> HttpResponse:
    """Add a supplier, or change one."""
    try:
        found = supplier(supplier_id) if supplier_id else None
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:list", "suppliers")
    form = SupplierForm(request.POST or None, instance=found, currency=request.studio.facts.currency)
    if request.method == "POST" and form.is_valid():
        saved = save_form(request, form, f"{form.cleaned_data['name']} {'changed' if found else 'added'}.")
        return redirect("inventory:supplier", saved.pk)
    return show_form(request, "inventory/supplier_edit.html", form, supplier=found)


@require_http_methods(["GET", "POST"])
@owner_only
def add_pack(request: HttpRequest, supplier_id: int) -> HttpResponse:
    """Note a size that a supplier sells, or another price for it."""
    try:
        found = supplier(supplier_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:list", "suppliers")
    form = PackForm(
        request.POST or None,
        currency=request.studio.facts.currency,
        initial={"material": request.GET.get("material")},
    )
    if request.method == "POST" and form.is_valid():
        try:
            do(request, keep_pack, supplier_id=supplier_id, **form.content())
            return redirect("inventory:supplier", supplier_id)
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "inventory/pack_add.html", form, supplier=found)


@require_POST
@owner_only
def remove_pack(request: HttpRequest, pack_id: int) -> HttpResponse:
    """A size that is not sold any more."""
    try:
        supplier_id = supplier_pack(pack_id).supplier_id
        do(request, drop_pack, pack_id=pack_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:list", "suppliers")
    return redirect("inventory:supplier", supplier_id)


@require_POST
@for_everyone
def put_off(request: HttpRequest, delivery_id: int) -> HttpResponse:
    """Another day for what was ordered."""
    form = PutOffForm(request.POST)
    try:
        if not form.is_valid():
            raise StudioError(" ".join(form.errors["expected_on"]))
        do(request, put_off_delivery, delivery_id=delivery_id, **form.cleaned_data)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("inventory:placed")


@require_POST
@for_everyone
def call_off(request: HttpRequest, delivery_id: int) -> HttpResponse:
    """What was ordered will not come."""
    today = request.studio.local(request.studio.now()).date()
    try:
        do(request, call_off_delivery, delivery_id=delivery_id, on=today)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("inventory:placed")


def _to_order(request: HttpRequest) -> list[SupplierToOrder]:
    studio = request.studio
    today = studio.local(studio.now()).date()
    rows = running_out(today, studio.planned_draws(), studio.hours.is_working_day)
    return to_order(rows, currency=prices_in(request))


def _suggested(request: HttpRequest, supplier_id: int) -> dict[tuple[int, int], int]:
    """Counts by material and pack size of what running out suggests to buy there, when it was asked for."""
    if "suggest" not in request.GET:
        return {}
    return {
        (one.row.material_id, pack.amount): count
        for found in _to_order(request)
        if found.supplier and found.supplier.pk == supplier_id
        for one in found.materials
        for pack, count in (one.basket.packs if one.basket else ())
    }


def _expected_on(request: HttpRequest, page: SupplierPage, today: date) -> date:
    days = page.supplier.lead_working_days
    try:
        return in_by_day(today, lead_days=days, is_working_day=request.studio.hours.is_working_day)
    except NoWorkingDay:
        return in_by_day(today, lead_days=days)
