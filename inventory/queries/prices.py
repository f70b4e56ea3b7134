"""What materials cost: the next of them to be used, and the lots that something was made from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Sum

from inventory.arithmetic.costing import Layer, next_cost
from inventory.models import Entry, Holding, Lot, Material, Place, SupplierPack

LOTS_READ_MOST = 60
"""Lots of one material looked at from the newest back: what stands in tubs came in lately."""


@dataclass(frozen=True)
class MaterialPrice:
    """What the next of a material costs. `left` oldest first; empty where no price is known.

    `told_by` says where the price is from: "first in, first out", "the last delivery", "its supplier".
    """

    name: str
    unit: str
    left: tuple[Layer, ...]
    told_by: str

    @property
    def is_known(self) -> bool:
        """Whether anything says what it costs."""
        return bool(self.left)

    def cost_of(self, amount: Fraction) -> Fraction:
        """What so much of it costs (thousandths), exact, in minor units; zero where no price is known."""
        return next_cost(self.left, amount) if self.left else Fraction(0)


def material_prices(material_ids: Iterable[int]) -> dict[int, MaterialPrice]:
    """What the next of each of these materials costs. Six queries.

    The oldest lot that first in, first out leaves in the tubs comes first. Lots without a price are left out
    of the reckoning; where none is left that has one, the last delivery with a price counts, then the
    cheapest pack of a supplier.
    """
    materials = Material.objects.in_bulk(set(material_ids))
    held: dict[int, int] = dict(
        Holding.objects.filter(lot__material__in=list(materials), amount__gt=0)
        .values_list("lot__material")
        .annotate(together=Sum("amount"))
        .order_by()
    )
    lots = _lots_newest_first(materials)
    packs: dict[int, Layer] = {}
    for pack in SupplierPack.objects.filter(material__in=list(materials), price_minor__gt=0):
        offered = Layer(pack.amount, Fraction(pack.price_minor, pack.amount))
        best = packs.get(pack.material_id, offered)
        packs[pack.material_id] = min(best, offered, key=lambda layer: layer.each)
    return {
        pk: _price(material, lots[pk], held.get(pk, 0), packs.get(pk)) for pk, material in materials.items()
    }


def lot_prices(lot_ids: Iterable[int]) -> dict[int, Fraction]:
    """What a thousandth of each of these lots cost, exact, in minor units. One query."""
    rows = Lot.objects.filter(pk__in=set(lot_ids)).values_list("pk", "price_minor", "amount")
    return {pk: Fraction(price_minor, amount) for pk, price_minor, amount in rows}


def _lots_newest_first(materials: Mapping[int, Material]) -> dict[int, list[Layer]]:
    """The lots that stayed, of each material. Three queries."""
    suppliers = list(Place.objects.filter(kind=Place.Kind.SUPPLIER).values_list("pk", flat=True))
    went_back = Entry.objects.filter(destination__in=suppliers).order_by()
    taken_back = set(went_back.values_list("lot", flat=True))
    found: dict[int, list[Layer]] = defaultdict(list)
    rows = Lot.objects.filter(material__in=list(materials)).order_by("-received_on", "-pk")
    for pk, material_id, amount, price_minor in rows.values_list("pk", "material", "amount", "price_minor"):
        if pk not in taken_back and len(found[material_id]) < LOTS_READ_MOST:
            found[material_id].append(Layer(amount, Fraction(price_minor, amount)))
    return found


def _price(material: Material, newest_first: list[Layer], held: int, pack: Layer | None) -> MaterialPrice:
    left: list[Layer] = []
    for lot in newest_first:
        amount = min(held, lot.amount)
        held -= amount
        if amount and lot.each:
            left.insert(0, Layer(amount, lot.each))
    told_by = "first in, first out"
    if not left:
        left = [lot for lot in newest_first if lot.each][:1]
        told_by = "the last delivery"
    if not left and pack:
        left, told_by = [pack], "its supplier"
    return MaterialPrice(material.name, material.unit, tuple(left), told_by if left else "")
