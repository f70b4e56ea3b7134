"""The Stores page: decant first when the week needs it, and what will run out."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.answers import new_request_key
from inventory.forms.moving import DecantForm
from inventory.queries.decant_proposal import decant_proposals
from inventory.queries.running_out import running_out, standing
from inventory.roles import for_everyone, is_owner
from inventory.views.pictures import stair_of, tubs_of


@for_everyone
def stores(request: HttpRequest) -> HttpResponse:
    """How the stores stand."""
    now_local = request.studio.local(request.studio.now())
    draws = request.studio.planned_draws()
    rows = running_out(now_local.date(), draws, request.studio.hours.is_working_day)
    proposals = decant_proposals(now_local.date(), draws)
    context = {
        "statement": standing(rows),
        "to_order_count": sum(1 for row in rows if row.flag),
        "until": rows[0].balances[-1].day if rows else None,
        "rows": [(row, stair_of(row, now_local)) for row in rows],
        "is_owner": is_owner(request.user),
        "is_by_mean_use": any(row.is_by_mean_use for row in rows),
        "others": proposals[1:],
    }
    if proposals:
        first = proposals[0]
        context |= {
            "proposal": first,
            "picture": tubs_of(first),
            "source": first.bulk,
            "target": first.working,
            "form": DecantForm(source=first.bulk, target=first.working, initial={"amount": first.amount}),
            "request_key": new_request_key(),
        }
    return render(request, "inventory/stores.html", context)
