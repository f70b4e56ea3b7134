"""One customer: all orders, what is held, and forgetting."""

from __future__ import annotations

import json
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from inventory.answers import do, new_request_key, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone, is_owner, owner_only
from orders.errors import NoSuchOrder
from orders.operations.erasing import erase_customer
from orders.queries.held import CustomerPage, customer_page, held_about


@for_everyone
@require_GET
def customer(request: HttpRequest, customer_id: int) -> HttpResponse:
    """The customer with all orders."""
    context: dict[str, Any] = {
        "customer": _page(customer_id),
        "is_owner": is_owner(request.user),
        "months": request.studio.facts.forget_after_months,
    }
    return render(request, "orders/customer.html", context)


@owner_only
@require_GET
def held(request: HttpRequest, customer_id: int) -> HttpResponse:
    """All that is held about the customer, as a JSON file."""
    page = _page(customer_id)
    text = json.dumps(held_about(page.id), cls=DjangoJSONEncoder, indent=2, ensure_ascii=False)
    answer = HttpResponse(text, content_type="application/json; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="customer-{page.id}.json"'
    return answer


@owner_only
@require_http_methods(["GET", "POST"])
def erase(request: HttpRequest, customer_id: int) -> HttpResponse:
    """Ask first, then erase the name and address."""
    page = _page(customer_id)
    if request.method == "POST":
        try:
            do(request, erase_customer, customer_id=page.id)
        except StudioError as fault:
            refuse(request, fault)
        return redirect("orders:customer", page.id)
    return render(request, "orders/erase.html", {"customer": page, "request_key": new_request_key()})


def _page(customer_id: int) -> CustomerPage:
    try:
        return customer_page(customer_id)
    except NoSuchOrder as fault:
        raise Http404(fault.message) from fault
