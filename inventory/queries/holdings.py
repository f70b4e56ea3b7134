"""What the tubs hold."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import Holding, Material


@dataclass(frozen=True)
class MaterialHeld:
    """A material in use, and what the studio holds of it (thousandths of `unit`)."""

    name: str
    kind: str
    unit: str
    held: int


def materials_held() -> list[MaterialHeld]:
    """Every material in use, by kind and name. Two queries."""
    held = held_by_material()
    return [
        MaterialHeld(one.name, one.kind, one.unit, held.get(one.pk, 0))
        for one in Material.objects.filter(retired_on__isnull=True).order_by("kind", "name")
    ]


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
