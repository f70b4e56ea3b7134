"""What to order, supplier by supplier."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.arithmetic.order_quantity import economic_order_quantity
from inventory.arithmetic.packs import Basket, EatenUp, Pack, eaten_up, fewest_packs
from inventory.arithmetic.quantities import format_money
from inventory.models import Material, Supplier
from inventory.queries.pack_sizes import counted_packs, pack_sizes, packs_of, suggested, worth_buying
from inventory.queries.running_out import RunningOut
from inventory.queries.wording import in_words, level_in_words

# What keeping a thing for a year costs of its price: money tied up, room, what spoils. Our own choice.
KEEPING_A_YEAR = 0.25
DAYS_A_YEAR = 365


@dataclass(frozen=True)
class MaterialToOrder:
    """One material to order. Amounts in thousandths, prices in minor units.

    `needed` as running out says, or the classic order quantity where that is more; `basket` what to buy for
    it, None where no pack is known; `fewer` another choice with fewer packs; `eaten` and `classic` sentences
    of what else decides, "" for nothing.
    """

    row: RunningOut
    needed: int
    basket: Basket | None
    basket_words: str
    fewer: Basket | None
    fewer_words: str
    eaten: str
    classic: str


@dataclass(frozen=True)
class SupplierToOrder:
    """What to order from one supplier, the most pressing first; `supplier` None where none is noted."""

    supplier: Supplier | None
    materials: tuple[MaterialToOrder, ...]
    price_minor: int

    @property
    def flag(self) -> str:
        """What to do with the most pressing of them."""
        return self.materials[0].row.flag


def to_order(rows: Sequence[RunningOut], *, currency: str) -> list[SupplierToOrder]:
    """What is flagged among `rows`, by supplier, the most pressing first. Two queries.

    Without a `currency` ("") the words leave prices out, and the sums are 0.

    Suggested packs are the cheapest that cover the need, where every price is known, else the fewest; those
    whose price their opened life eats up are left out.
    """
    sizes = pack_sizes()
    flagged = [row for row in rows if row.flag]
    materials = Material.objects.select_related("supplier").in_bulk([row.material_id for row in flagged])
    by_supplier: dict[int, list[MaterialToOrder]] = {}
    suppliers: dict[int, Supplier | None] = {}
    for row in flagged:
        material = materials[row.material_id]
        suppliers[material.supplier_id or 0] = material.supplier
        by_supplier.setdefault(material.supplier_id or 0, []).append(
            _to_order(row, material, packs_of(material, sizes), currency)
        )
    return [
        SupplierToOrder(
            supplier=suppliers[key],
            materials=tuple(found),
            price_minor=sum(one.basket.price_minor for one in found if one.basket) if currency else 0,
        )
        for key, found in by_supplier.items()
    ]


def _to_order(row: RunningOut, material: Material, packs: Sequence[Pack], currency: str) -> MaterialToOrder:
    quantity, classic = _classic(row, material, packs, currency)
    needed = max(row.needed, quantity)
    worth = worth_buying(material, packs, row.mean_daily)
    basket, fewer = suggested(needed, worth), fewest_packs(needed, worth)
    if basket is None or fewer is None or fewer.count >= basket.count:
        fewer = None
    return MaterialToOrder(
        row=row,
        needed=needed,
        basket=basket,
        basket_words=_priced(basket, material.unit, currency) if basket else "",
        fewer=fewer,
        fewer_words=_priced(fewer, material.unit, currency) if fewer else "",
        eaten=eaten_words(material, packs, row.mean_daily, currency),
        classic=classic,
    )


def eaten_words(material: Material, packs: Sequence[Pack], mean_daily: float, currency: str) -> str:
    """The sentence of a bigger pack whose lower price its opened life eats up, with both figures; else "".

    Without a `currency` ("") it says which pack is the cheaper one, and no price.
    """
    found = eaten_up(packs, mean_daily, material.opened_life_days)
    return _eaten_sentence(found, material, mean_daily, currency) if found else ""


def _eaten_sentence(found: EatenUp, material: Material, mean_daily: float, currency: str) -> str:
    unit = material.unit
    big, small = (level_in_words(cost.pack.amount, unit) for cost in (found.bigger, found.smaller))
    each = {"g": "a kg", "ml": "a litre"}.get(unit, "a thousand")

    def price(minor: object) -> str:
        return format_money(round(minor), currency)  # type: ignore[call-overload]

    used = (
        f"At {in_words(round(mean_daily), unit)} a day only {in_words(found.bigger.used, unit)} of the {big}"
        f" is used in the {material.opened_life_days} days it keeps once opened"
    )
    if not currency:
        return f"{used}. The {small} are the cheaper."
    sentence = (
        f"The pack of {big} costs {price(found.bigger.per_thousand_minor)} {each}, that of {small}"
        f" {price(found.smaller.per_thousand_minor)}. {used}: {price(found.bigger.per_used_minor)} {each}"
    )
    if found.smaller.outlives_opened_life:
        return f"{sentence}, against {price(found.smaller.per_used_minor)} of the {small}."
    return f"{sentence}. The {small} are the cheaper."


def _classic(row: RunningOut, material: Material, packs: Sequence[Pack], currency: str) -> tuple[int, str]:
    """The economic order quantity (thousandths) and its words; only where there is no plan, with prices."""
    priced = [pack for pack in packs if pack.price_minor]
    carriage = material.supplier.carriage_minor if material.supplier else 0
    if not row.is_by_mean_use or row.mean_daily <= 0 or not carriage or not priced:
        return 0, ""
    unit_minor = min(pack.price_minor / pack.amount for pack in priced)
    found = economic_order_quantity(carriage, unit_minor * KEEPING_A_YEAR, row.mean_daily * DAYS_A_YEAR)
    quantity = round(found.quantity)
    if material.opened_life_days is not None:
        quantity = min(quantity, round(row.mean_daily * material.opened_life_days))
    least = f"about {level_in_words(_roughly(quantity), material.unit)} at a time costs least."
    if not currency:
        return quantity, f"With carriage and keeping {least}"
    return quantity, (
        f"Carriage is {format_money(carriage, currency)} and keeping is reckoned at a quarter of the price a"
        f" year: {least}"
    )


def _roughly(amount: int) -> int:
    """Three figures are more than such a sum deserves."""
    return round(amount, 3 - len(str(amount)))


def _priced(basket: Basket, unit: str, currency: str) -> str:
    words = counted_packs(basket, unit)
    if currency and all(pack.price_minor for pack, _ in basket.packs):
        return f"{words}, {format_money(basket.price_minor, currency)}"
    return words
