"""What the tubs hold."""

from __future__ import annotations

from django.db.models import Sum

from inventory.models import Holding


def held_by_material() -> dict[int, int]:
    """What the studio holds of each material (thousandths), by material id; materials with nothing left out.

    One query.
    """
    return dict(
        Holding.objects.filter(amount__gt=0)
        .values_list("lot__material")
        .annotate(held=Sum("amount"))
        .order_by("lot__material")
    )


def held_by_container() -> dict[int, int]:
    """What each container holds (thousandths), by container id; empty ones left out. One query."""
    return dict(
        Holding.objects.filter(amount__gt=0)
        .values_list("place__container")
        .annotate(held=Sum("amount"))
        .order_by("place__container")
    )
