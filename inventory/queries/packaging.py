"""What parcels can be packed in."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import Holding, Material


@dataclass(frozen=True)
class Packaging:
    """A packaging material with what the stores hold of it (thousandths of its unit)."""

    id: int
    name: str
    unit: str
    held: int


def packaging_materials() -> list[Packaging]:
    """Every packaging material that is not retired, by name. Two queries."""
    held = dict(
        Holding.objects.filter(lot__material__kind=Material.Kind.PACKAGING, place__container__isnull=False)
        .values_list("lot__material")
        .annotate(sum=Sum("amount"))
    )
    rows = Material.objects.filter(kind=Material.Kind.PACKAGING, retired_on__isnull=True).order_by("name")
    return [Packaging(row.pk, row.name, row.unit, held.get(row.pk, 0)) for row in rows]
