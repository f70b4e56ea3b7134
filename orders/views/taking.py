"""One order: its page, typing it, changing it, calling it off, choosing pieces, erasing its customer."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.arithmetic.codes import tidy_mark
from inventory.errors import StudioError
from inventory.operations.acts import Done
from inventory.roles import for_everyone, is_owner
from orders.errors import NoSuchOrder
from orders.forms import ROWS_MORE, AssignForm, LineHad, LinesForm, MarketForm, OrderForm
from orders.operations.assigning import assign_piece
from orders.operations.changing import call_off, change_order
from orders.operations.taking import type_order
from orders.queries.order_page import OrderPage, next_number, order_page
from production.queries.offered import articles_offered
from production.queries.plan_age import why_plan_is_old


@for_everyone
@require_GET
def order(request: HttpRequest, number: str) -> HttpResponse:
    """One order."""
    page = page_of(request, number)
    if page.number != number:
        return redirect("orders:order", page.number)
    return _show_order(request, page, _assign_form(page))


@for_everyone
@require_http_methods(["GET", "POST"])
def type_by_hand(request: HttpRequest) -> HttpResponse:
    """Type an order."""
    today = request.studio.local(request.studio.now()).date()
    initial = {"number": next_number(), "ordered_on": today}
    make = partial(OrderForm, offered=articles_offered(), begins_at="ship_by")
    return _typed(request, make, initial, "orders/type.html", type_order, {"heading": "Type an order"})


@for_everyone
@require_http_methods(["GET", "POST"])
def market_day(request: HttpRequest) -> HttpResponse:
    """Add a market day."""
    today = request.studio.local(request.studio.now()).date()
    make = partial(MarketForm, offered=articles_offered(), today=today)
    return _typed(request, make, {}, "orders/market.html", type_order, {"heading": "Add a market day"})


@for_everyone
@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, number: str) -> HttpResponse:
    """Change an open order or market day."""
    page = page_of(request, number)
    make = partial(_CHANGE_FORMS[page.kind], request, page)
    template = "orders/market.html" if page.kind == "market" else "orders/type.html"
    context = {"heading": f"Change {page.number}", "order": page}
    return _typed(request, make, _initial(page), template, change_order, context, order_id=page.id)


@for_everyone
@require_POST
def call_order_off(request: HttpRequest, number: str) -> HttpResponse:
    """Call an order off."""
    page = page_of(request, number)
    try:
        do(request, call_off, order_id=page.id)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("orders:order", page.number)


@for_everyone
@require_POST
def assign(request: HttpRequest, number: str) -> HttpResponse:
    """Keep a piece for a line of the order by hand."""
    page = page_of(request, number)
    form = _assign_form(page, request)
    if form.is_valid():
        try:
            mark = tidy_mark(form.cleaned_data["mark"])
            do(request, assign_piece, mark=mark, line_id=form.cleaned_data["line_id"])
            return redirect("orders:order", page.number)
        except StudioError as fault:
            refuse_field(form, fault)
    return _show_order(request, page, form, status=422)


def page_of(request: HttpRequest, number: str) -> OrderPage:
    """The order's page, or the page that says it is not there."""
    try:
        return order_page(number, now=request.studio.now(), hours=request.studio.hours)
    except NoSuchOrder as fault:
        raise Http404(fault.message) from fault


def _typed(
    request: HttpRequest,
    make: Callable[..., LinesForm],
    initial: dict[str, Any],
    template: str,
    operation: Callable[..., Done],
    context: dict[str, Any],
    **content: Any,
) -> HttpResponse:
    """Keep what was typed, or show the form again with everything that was typed."""
    form = make(request.POST or None, initial=initial)
    if "more" in request.POST:
        form = make(initial=initial | request.POST.dict(), row_count=form.row_count + ROWS_MORE)
    elif request.method == "POST" and form.is_valid():
        try:
            done = do(request, operation, **form.content(), **content)
            return redirect("orders:order", done.facts["number"])
        except StudioError as fault:
            refuse_field(form, fault, "what_1" if fault.facts.get("field") == "lines" else None)
    context |= {"form": form, "request_key": request.POST.get("request_key") or new_request_key()}
    return render(request, template, context, status=422 if form.is_bound else 200)


def _change_form(request: HttpRequest, page: OrderPage, *arguments: Any, **options: Any) -> LinesForm:
    form = OrderForm(*arguments, offered=articles_offered(), lines=_lines_of(page), **options)
    form.fields["number"].disabled = True
    return form


def _change_market_form(request: HttpRequest, page: OrderPage, *arguments: Any, **options: Any) -> LinesForm:
    today = request.studio.local(request.studio.now()).date()
    form = MarketForm(*arguments, offered=articles_offered(), lines=_lines_of(page), today=today, **options)
    form.fields["number"].disabled = True
    return form


_CHANGE_FORMS: dict[str, Callable[..., LinesForm]] = {"order": _change_form, "market": _change_market_form}


def _lines_of(page: OrderPage) -> list[LineHad]:
    return [
        LineHad(
            line.article_id, line.colour_id, line.quantity, line.seconds_do, f"{line.article}, {line.colour}"
        )
        for line in (state.line for state in page.states)
    ]


def _initial(page: OrderPage) -> dict[str, Any]:
    return {
        "number": page.number,
        "customer": page.who,
        "address": page.address,
        "ordered_on": page.ordered_on,
        "ship_by": page.ship_by,
        "came_from": page.came_from,
        "weight": page.weight,
        "gift_message": page.gift_message,
        "note": page.note,
    }


def _assign_form(page: OrderPage, request: HttpRequest | None = None) -> AssignForm:
    lines = {one.line.pk: f"{one.line.article}, {one.line.colour}" for one in page.states}
    return AssignForm(request.POST if request else None, lines=lines)


def _show_order(request: HttpRequest, page: OrderPage, form: AssignForm, status: int = 200) -> HttpResponse:
    context = {
        "order": page,
        "old_plan": why_plan_is_old(now=request.studio.now()) if page.is_open else "",
        "form": form,
        "request_key": request.POST.get("request_key") or new_request_key(),
        "can_erase": is_owner(request.user) and page.customer_id and not page.is_open and not page.is_erased,
    }
    return render(request, "orders/order.html", context, status=status)
