"""Parcels that were weighed, for what their boxes weigh."""

from __future__ import annotations

from collections.abc import Mapping

from orders.models import Parcel

LOOKED_AT = 60


def weighed_alike(packaging: Mapping[int, int]) -> list[tuple[int, int]]:
    """Scale and sum of pieces (mg) of the newest weighed parcels packed in exactly this. Two queries."""
    parcels = (
        Parcel.objects.filter(weight_mg__isnull=False, pieces_mg__isnull=False, shipped_at__isnull=False)
        .order_by("-shipped_at")
        .prefetch_related("packaging")[:LOOKED_AT]
    )
    return [
        (parcel.weight_mg, parcel.pieces_mg)
        for parcel in parcels
        if {row.material_id: row.amount for row in parcel.packaging.all()} == dict(packaging)
        and parcel.weight_mg is not None
        and parcel.pieces_mg is not None
    ]
