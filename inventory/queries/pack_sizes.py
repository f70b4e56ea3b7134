"""The sizes in which suppliers sell each material."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inventory.arithmetic.packs import Basket, Pack, cheapest_packs, eaten_up, fewest_packs
from inventory.models import Material, SupplierPack
from inventory.queries.wording import level_in_words

# By material id and supplier id, the smallest first.
PackSizes = Mapping[tuple[int, int], Sequence[SupplierPack]]


def pack_sizes() -> PackSizes:
    """Every pack that is noted, by material and supplier, the smallest first. One query."""
    found: dict[tuple[int, int], list[SupplierPack]] = {}
    for pack in SupplierPack.objects.order_by("amount", "pk"):
        found.setdefault((pack.material_id, pack.supplier_id), []).append(pack)
    return found


def packs_of(material: Material, sizes: PackSizes) -> list[Pack]:
    """The packs its own supplier sells; without any the one pack noted with the material itself."""
    noted = sizes.get((material.pk, material.supplier_id or 0), ())
    if noted:
        return [Pack(pack.amount, pack.price_minor) for pack in noted]
    return [Pack(material.pack_size)] if material.pack_size else []


def worth_buying(material: Material, packs: Sequence[Pack], mean_daily: float) -> list[Pack]:
    """The packs whose lower price is not eaten up by the opened life of the material."""
    found = eaten_up(packs, mean_daily, material.opened_life_days)
    return [pack for pack in packs if found is None or pack.amount < found.bigger.pack.amount]


def suggested(needed: int, packs: Sequence[Pack]) -> Basket | None:
    """What to buy for `needed` (thousandths): the cheapest packs where prices are known, else the fewest."""
    if packs and all(pack.price_minor for pack in packs):
        return cheapest_packs(needed, packs)
    return fewest_packs(needed, packs)


def basket_words(material: Material, sizes: PackSizes, needed: int, mean_daily: float) -> str:
    """What would do: "2 packs of 15 kg would do."; "" without packs. Warns of one that outlives its life."""
    basket = suggested(needed, worth_buying(material, packs_of(material, sizes), mean_daily))
    if basket is None:
        return ""
    words = f"{counted_packs(basket, material.unit)} would do."
    life = material.opened_life_days
    if life and mean_daily > 0 and any(pack.amount > mean_daily * life for pack, _ in basket.packs):
        words += " An opened pack would outlive its opened life at this rate."
    return words


def counted_packs(basket: Basket, unit: str) -> str:
    """ "2 packs of 15 kg", "1 pack of 15 kg and 2 of 5 kg"."""
    parts = [f"{count} of {level_in_words(pack.amount, unit)}" for pack, count in basket.packs]
    first, _, size = parts[0].partition(" of ")
    parts[0] = f"{first} {'pack' if first == '1' else 'packs'} of {size}"
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
