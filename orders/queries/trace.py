"""Where pieces went: the orders' half of a trace."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from orders.models import Assignment


@dataclass(frozen=True)
class WentTo:
    """The order a piece is kept for or left with."""

    number: str
    customer: str
    shipped_at: datetime | None


def went_to(piece_ids: Iterable[int]) -> Mapping[int, WentTo]:
    """Order and customer of each piece; pieces kept for nobody are left out. One query."""
    rows = Assignment.objects.filter(piece_id__in=list(piece_ids)).values_list(
        "piece_id", "line__order__number", "line__order__customer__name", "piece__shipped_at"
    )
    return {piece: WentTo(number, customer or "", shipped_at) for piece, number, customer, shipped_at in rows}


def marks_of_order(number: str) -> list[str]:
    """Marks of the pieces kept for or shipped with an order. One query."""
    found = Assignment.objects.filter(line__order__number__iexact=number).order_by("id")
    return list(found.values_list("piece__mark", flat=True))
