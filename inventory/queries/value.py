"""What is on hand at what it cost, the oldest delivery reckoned as used first."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from django.db.models import Sum

from inventory.arithmetic.costing import ReceivedLot, left_by_lot, lot_cost, mean_price
from inventory.models import Entry, Holding, Lot, Material, Place


@dataclass(frozen=True)
class LotOnHand:
    """One lot: what the tubs hold of it, and what first in, first out leaves of it (thousandths, minor)."""

    code: str
    received_on: date
    best_before: date | None
    price_minor: int
    received: int
    held: int
    left: int
    worth_minor: int


@dataclass(frozen=True)
class MaterialOnHand:
    """One material: `worth_minor` first in, first out; `by_lots_minor` by the lots the tubs really hold.

    `mean_minor` is the mean price of a thousand base units over the lots counted, None where none was paid
    for; `without_price` what is held beyond all that came in.
    """

    material_id: int
    material: str
    unit: str
    held: int
    worth_minor: int
    by_lots_minor: int
    mean_minor: Fraction | None
    without_price: int
    lots: tuple[LotOnHand, ...]


def on_hand() -> list[MaterialOnHand]:
    """Every material of which something is held, the dearest first. Five queries, whatever the history.

    A lot whose receipt was taken back is no delivery.
    """
    held: dict[int, dict[int, int]] = defaultdict(dict)
    rows = Holding.objects.filter(amount__gt=0).values_list("lot__material", "lot")
    for material_id, lot_id, amount in rows.annotate(together=Sum("amount")).order_by():
        held[material_id][lot_id] = amount
    suppliers = list(Place.objects.filter(kind=Place.Kind.SUPPLIER).values_list("pk", flat=True))
    went_back = Entry.objects.filter(destination__in=suppliers)
    taken_back = set(went_back.order_by().values_list("lot", flat=True))
    lots: dict[int, list[_Lot]] = defaultdict(list)
    for lot in Lot.objects.order_by("-received_on", "-pk").values_list(*_Lot._fields):
        if lot[0] not in taken_back and lot[1] in held:
            lots[lot[1]].append(_Lot(*lot))
    materials = Material.objects.in_bulk(list(held))
    found = [
        _material(materials[material_id], lots[material_id], of_lots) for material_id, of_lots in held.items()
    ]
    return sorted(found, key=lambda row: (-row.worth_minor, row.material))


class _Lot(NamedTuple):
    """As much of a lot as is reckoned with: there may be thousands, of which a few are left."""

    pk: int
    material_id: int
    code: str
    received_on: date
    best_before: date | None
    amount: int
    price_minor: int


def _material(material: Material, newest_first: list[_Lot], held: dict[int, int]) -> MaterialOnHand:
    whole = sum(held.values())
    bought = [ReceivedLot(lot.amount, lot.price_minor) for lot in newest_first]
    left, without_price = left_by_lot(bought, whole)
    by_place = {one.place: one for one in left}
    rows = []
    by_lots = Fraction(0)
    for place, lot in enumerate(newest_first):
        reckoned, there = by_place.get(place), held.get(lot.pk, 0)
        by_lots += lot_cost(bought[place], min(there, lot.amount))
        if reckoned or there:
            rows.append(
                LotOnHand(
                    code=lot.code,
                    received_on=lot.received_on,
                    best_before=lot.best_before,
                    price_minor=lot.price_minor,
                    received=lot.amount,
                    held=there,
                    left=reckoned.amount if reckoned else 0,
                    worth_minor=reckoned.worth_minor if reckoned else 0,
                )
            )
    counted = [bought[one.place] for one in left]
    return MaterialOnHand(
        material_id=material.pk,
        material=material.name,
        unit=material.unit,
        held=whole,
        worth_minor=sum(one.worth_minor for one in left),
        by_lots_minor=round(by_lots),
        mean_minor=mean_price(counted) if any(lot.price_minor for lot in counted) else None,
        without_price=without_price,
        lots=tuple(rows),
    )
