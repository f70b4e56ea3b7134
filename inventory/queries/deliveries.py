"""Orders placed with suppliers that are not in yet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from inventory.models import Delivery


@dataclass(frozen=True)
class Expected:
    """An amount (thousandths) of a material that should come on a day."""

    material_id: int
    on: date
    amount: int


def expected(material_ids: Iterable[int] | None = None) -> list[Expected]:
    """What is ordered and not in yet, the earliest first, of these materials or of all. One query."""
    rows = open_deliveries()
    if material_ids is not None:
        rows = rows.filter(material__in=list(material_ids))
    return [
        Expected(material_id, on, amount)
        for material_id, on, amount in rows.values_list("material_id", "expected_on", "amount")
    ]


def late_deliveries(today: date) -> list[Delivery]:
    """Orders that should be in by now and are not, the oldest first, with their materials. One query."""
    return list(open_deliveries().filter(expected_on__lt=today))


def open_delivery(delivery_id: str, material_id: int) -> Delivery | None:
    """The order not in yet with this id, as an address names it, if it is of the material. One query."""
    if not delivery_id.isdecimal() or len(delivery_id) > 18:
        return None
    return open_deliveries().filter(pk=int(delivery_id), material=material_id).first()


def open_deliveries() -> QuerySet[Delivery]:
    """Orders not in yet with their materials, the earliest expected first."""
    return (
        Delivery.objects.filter(received_lot__isnull=True, cancelled_on__isnull=True)
        .select_related("material__supplier", "order__supplier")
        .order_by("expected_on", "pk")
    )
