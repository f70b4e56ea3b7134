"""What is in the stores, for programs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from inventory.queries.holdings import materials_held
from orders.operations.clients import Client
from orders.views.api.asking import for_clients, known_only, said


def _stores(request: HttpRequest, client: Client) -> HttpResponse:
    known_only(request)
    return said(
        {
            "materials": [
                {"name": one.name, "kind": one.kind, "unit": one.unit, "held_thousandths": one.held}
                for one in materials_held()
            ]
        }
    )


stores = for_clients(GET=("stores:read", _stores))
