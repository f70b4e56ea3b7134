"""Packing one order: tick, scan, mark shipped, print."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import NotEnoughInContainer, StudioError
from inventory.queries.packaging import packaging_materials
from inventory.roles import for_everyone
from orders.errors import NoSuchOrder, ScaleDisagrees
from orders.forms.leaving import CarrierForm, ShipForm
from orders.operations.packing import tick_piece, untick_piece
from orders.operations.shipping import note_carrier, ship_parcel
from orders.papers.card_words import card_context
from orders.papers.care_cards import cards_of, care_sheets, missing_maker_facts
from orders.papers.packing_slip import slip_of
from orders.queries.order_page import find_order
from orders.queries.packing_page import PackingPage, packing_page
from orders.queries.parcels import PaperParcel, parcel_for_paper

SIZE_NAMED = {"4x6": "l46", "a5": "a5", "a4": "a4", "letter": "letter"}


@for_everyone
@require_GET
def pack(request: HttpRequest, number: str) -> HttpResponse:
    """The order on the packing table."""
    order = order_of(number)
    if order.closed_at or order.number != number:
        return redirect("orders:order", order.number)
    return _table(request, order)


def _table(
    request: HttpRequest, order: Any, form: ShipForm | None = None, *, lacks_packaging: bool = False
) -> HttpResponse:
    """The packing table, with the form of how the box leaves as it was typed."""
    page = _page_of(request, order)
    context = {
        "page": page,
        "form": form or _ship_form(page),
        "is_refused": form is not None,
        "request_key": new_request_key(),
        "without_packaging": lacks_packaging,
        "maker": missing_maker_facts(request.studio.facts),
    }
    return render(request, "orders/pack.html", context, status=422 if form else 200)


def _page_of(request: HttpRequest, order: Any) -> PackingPage:
    studio = request.studio
    return packing_page(order.number, now=studio.now(), hours=studio.hours, home=studio.facts.country)


def _ship_form(page: PackingPage, *arguments: Any) -> ShipForm:
    return ShipForm(*arguments, packaging=packaging_materials(), suggested=page.suggested)


@for_everyone
@require_POST
def tick(request: HttpRequest, number: str) -> HttpResponse:
    """Put a piece into the box by tick or scan, or take it out."""
    order = order_of(number)
    operation = untick_piece if "out" in request.POST else tick_piece
    # A scan of a care card gives the whole address of the piece.
    mark = request.POST.get("mark", "").strip().rstrip("/").split("/")[-1][:12]
    try:
        do(request, operation, order_id=order.pk, mark=mark)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("orders:pack", order.number)


@for_everyone
@require_POST
def ship(request: HttpRequest, number: str) -> HttpResponse:
    """Mark the box shipped, in full or in part."""
    order = order_of(number)
    # What was suggested when the page was shown, so that a second tap says the same as the first.
    shown = [name.removeprefix("pack_") for name in request.POST if name.startswith("pack_")]
    suggested = {int(one): 0 for one in shown if one.isdecimal()}
    form = ShipForm(request.POST, packaging=packaging_materials(), suggested=suggested)
    if not form.is_valid():
        return _table(request, order, form)
    try:
        do(
            request,
            ship_parcel,
            order_id=order.pk,
            marks=request.POST.get("marks", "").split(),
            hours=request.studio.hours,
            in_part="in_part" in request.POST,
            take_packaging="without_packaging" not in request.POST,
            **form.content(),
        )
    except NotEnoughInContainer as fault:
        refuse_field(form, fault)
        return _table(request, order, form, lacks_packaging=True)
    except ScaleDisagrees as fault:
        refuse_field(form, fault)
        return _table(request, order, form)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("orders:pack", order.number)
    return redirect("orders:orders")


@for_everyone
@require_POST
def carrier(request: HttpRequest, number: str, parcel_id: int) -> HttpResponse:
    """Who carries a parcel that left, and its tracking."""
    order = order_of(number)
    form = CarrierForm(request.POST)
    try:
        if form.is_valid():
            do(request, note_carrier, parcel_id=parcel_id, **form.cleaned_data)
        else:
            refuse(request, StudioError("Shorten it: 60 letters for the carrier, 80 for the tracking."))
    except StudioError as fault:
        refuse(request, fault)
    return redirect("orders:order", order.number)


@for_everyone
@require_GET
def packing_slip(request: HttpRequest, number: str) -> HttpResponse:
    """The slip of the open box, or of a parcel that left (?parcel=1), in the studio's size or ?size=4x6."""
    order = order_of(number)
    facts = request.studio.facts
    parcel = _parcel_of(request, order)
    if not parcel.care:
        return _nothing_to_print(request, order)
    size = SIZE_NAMED.get(request.GET.get("size", ""), facts.slip_size)
    slip = slip_of(parcel, size=size, site_address=facts.site_address)
    context = {"slips": [slip], "title": f"Packing slip {order.number}", "studio": facts}
    return request.studio.paper(
        request, "orders/papers/packing_slip.html", context, f"packing-slip-{order.number}.pdf"
    )


@for_everyone
@require_GET
def care_cards(request: HttpRequest, number: str) -> HttpResponse:
    """Care cards of the box or a parcel: four to a sheet, fronts and backs, or one to a page (?single)."""
    order = order_of(number)
    parcel = _parcel_of(request, order)
    if not parcel.care:
        return _nothing_to_print(request, order)
    cards = cards_of(parcel.care, studio=request.studio.facts)
    context = {
        "cards": cards,
        **card_context(request.studio.facts),
        "sheets": [] if "single" in request.GET else care_sheets(cards),
        "order": order,
        "studio": request.studio.facts,
    }
    return request.studio.paper(
        request, "orders/papers/care_cards.html", context, f"care-cards-{order.number}.pdf"
    )


def _parcel_of(request: HttpRequest, order: Any) -> PaperParcel:
    return parcel_for_paper(
        order, request.GET.get("parcel", ""), now=request.studio.now(), home=request.studio.facts.country
    )


def _nothing_to_print(request: HttpRequest, order: Any) -> HttpResponse:
    said = f"No piece of {order.number} is ready. There is nothing to print."
    refuse(request, StudioError(said))
    return redirect("orders:order", order.number)


def order_of(number: str) -> Any:
    """The order, or the page that says it is not there."""
    try:
        return find_order(number)
    except NoSuchOrder as fault:
        raise Http404(fault.message) from fault
