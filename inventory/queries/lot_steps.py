"""Where a lot came from and what became of it: one step back and one step forward."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Sum

from inventory.models import Delivery, Entry, Holding, Lot, Place

BECAME = {
    Place.Kind.MIX: "in mixes",
    Place.Kind.PIECE: "on pieces",
    Place.Kind.PARCEL: "in parcels",
    Place.Kind.WASTE: "lumps, or too old",
    Place.Kind.SPILL: "spilt",
    Place.Kind.DIFFERENCE: "missing when counted",
}


@dataclass(frozen=True)
class LotPart:
    """So much of a lot (thousandths): held in the tub `code`, or else "" and what became of it in words.

    Below zero where counts found more than came in.
    """

    words: str
    code: str
    amount: int


@dataclass(frozen=True)
class LotSteps:
    """One step back: who took it in, when, of which order. One step forward: its parts, all of it together.

    Source: ISO 22005:2007, one step back and one step forward (from memory).
    """

    taken_in_at: datetime | None
    taken_in_by: str
    ordered: Delivery | None
    received: int
    parts: tuple[LotPart, ...]


def lot_steps(lot: Lot) -> LotSteps:
    """The steps of a lot; its parts add up to what came in (0 once that was taken back). Four queries."""
    first = (
        Entry.objects.filter(lot=lot, source__kind=Place.Kind.SUPPLIER)
        .select_related("posting__by")
        .order_by("pk")
        .first()
    )
    net: Counter[str] = Counter()
    ways = Entry.objects.filter(lot=lot).values_list("source__kind", "destination__kind")
    for source, destination, amount in ways.annotate(together=Sum("amount")).order_by():
        net[source] -= amount
        net[destination] += amount
    held = Holding.objects.filter(lot=lot, amount__gt=0).order_by("place__container__code")
    parts = [
        LotPart("", code, amount) for code, amount in held.values_list("place__container__code", "amount")
    ]
    parts += [LotPart(words, "", net[kind]) for kind, words in BECAME.items() if net[kind]]
    return LotSteps(
        taken_in_at=first.posting.happened_at if first else None,
        taken_in_by=first.posting.by.get_username() if first and first.posting.by else "",
        ordered=Delivery.objects.filter(received_lot=lot).select_related("order").first(),
        received=-net[Place.Kind.SUPPLIER],
        parts=tuple(parts),
    )


def lots_once_in(tub: str) -> list[int]:
    """The lots that a tub (by its code) holds or ever held, by id. One query."""
    held = Holding.objects.filter(place__container__code__iexact=tub)
    return list(held.values_list("lot", flat=True).distinct().order_by("lot"))
