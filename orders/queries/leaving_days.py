"""The days on which open orders and market days leave."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from orders.models import Order


@dataclass(frozen=True)
class Leaving:
    """An open order or market day and its ship-by day."""

    order_id: int
    number: str
    ship_by: date
    is_market: bool


def leaving_days() -> tuple[Leaving, ...]:
    """Every open order and market day by the day it leaves, soonest first. One query."""
    rows = Order.objects.filter(closed_at__isnull=True).order_by("ship_by", "id")
    return tuple(Leaving(row.pk, row.number, row.ship_by, row.kind == Order.Kind.MARKET) for row in rows)
