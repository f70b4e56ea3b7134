"""The Orders page, the closed orders and the shelf wishes."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods
from django_tables2 import RequestConfig

from inventory.answers import do, new_request_key, refuse_field
from inventory.errors import StudioError
from inventory.queries.acts import acts_standing
from inventory.roles import for_everyone
from orders.forms import WishForm
from orders.operations.undoing import UNDO
from orders.operations.wishes import set_wish
from orders.queries.can_leave import can_leave
from orders.queries.open_orders import CLOSED_MOST, closed_orders, open_orders
from orders.queries.wishes import shelf_wishes
from orders.tables import ClosedOrdersTable
from production.queries.offered import articles_offered
from production.queries.plan_age import why_plan_is_old

PAGE_SIGNS_MOST = 9
LATELY, LATELY_MOST = timedelta(days=1), 40


@for_everyone
@require_GET
def orders(request: HttpRequest) -> HttpResponse:
    """Open orders by the day they leave."""
    now = request.studio.now()
    page = request.GET.get("page", "")
    number = int(page) if page.isascii() and page.isdecimal() and len(page) < PAGE_SIGNS_MOST else 1
    found = open_orders(now=now, hours=request.studio.hours, page=number)
    context = {"found": found, "old_plan": why_plan_is_old(now=now) if found.days else ""}
    return render(request, "orders/orders.html", context)


@for_everyone
@require_GET
def leaving(request: HttpRequest) -> HttpResponse:
    """What can leave now, and what the rest waits for."""
    found = can_leave(now=request.studio.now(), hours=request.studio.hours)
    return render(request, "orders/can_leave.html", {"found": found})


@for_everyone
@require_GET
def lately(request: HttpRequest) -> HttpResponse:
    """What was done to orders in the past day, each with its Undo."""
    now = request.studio.now()
    acts = acts_standing(UNDO, since=now - LATELY, most=LATELY_MOST)
    return render(request, "orders/lately.html", {"acts": acts, "now": now})


@for_everyone
@require_GET
def closed(request: HttpRequest) -> HttpResponse:
    """Orders that left or were called off."""
    table = ClosedOrdersTable(closed_orders())
    RequestConfig(request, paginate={"per_page": 200}).configure(table)
    return render(request, "orders/closed.html", {"table": table, "most": CLOSED_MOST})


@for_everyone
@require_http_methods(["GET", "POST"])
def wishes(request: HttpRequest) -> HttpResponse:
    """What the studio likes to have on the shelf."""
    form = WishForm(request.POST or None, offered=articles_offered())
    if request.method == "POST" and form.is_valid():
        try:
            do(request, set_wish, **form.content())
            return redirect("orders:wishes")
        except StudioError as fault:
            refuse_field(form, fault)
    context = {
        "form": form,
        "wishes": shelf_wishes(),
        "request_key": request.POST.get("request_key") or new_request_key(),
    }
    return render(request, "orders/wishes.html", context, status=422 if form.errors else 200)
