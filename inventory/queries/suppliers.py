"""One supplier with what is bought there, and what is ordered and not in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.errors import StudioError
from inventory.models import Delivery, Material, Supplier, SupplierPack
from inventory.queries.deliveries import open_deliveries


@dataclass(frozen=True)
class SoldMaterial:
    """A material bought from a supplier, with the packs that are noted, the smallest first."""

    material: Material
    packs: tuple[SupplierPack, ...]


@dataclass(frozen=True)
class SupplierPage:
    """A supplier, what is bought there, and what is ordered there and not in yet."""

    supplier: Supplier
    sold: tuple[SoldMaterial, ...]
    coming: tuple[Delivery, ...]


@dataclass(frozen=True)
class PlacedOrder:
    """Deliveries of one order that are not in; `supplier` "" where none is noted."""

    supplier: str
    supplier_id: int | None
    reference: str
    ordered_on: date
    lines: tuple[Delivery, ...]


def supplier(supplier_id: int) -> Supplier:
    """The supplier with this id. One query.

    Raises: StudioError when there is none.
    """
    found = Supplier.objects.filter(pk=supplier_id).first()
    if found is None:
        raise StudioError("There is no such supplier. Add one.", supplier_id=supplier_id)
    return found


def supplier_page(supplier_id: int) -> SupplierPage:
    """The supplier with this id. Four queries.

    Sold is every material of which a pack of theirs is noted, or whose usual supplier they are.

    Raises: StudioError when there is none.
    """
    found = supplier(supplier_id)
    packs: dict[int, list[SupplierPack]] = {}
    materials: dict[int, Material] = {}
    for pack in found.packs.select_related("material").order_by("amount"):
        packs.setdefault(pack.material_id, []).append(pack)
        materials[pack.material_id] = pack.material
    materials |= {row.pk: row for row in found.materials.all()}
    in_use = sorted(
        (row for row in materials.values() if not row.retired_on), key=lambda row: (row.kind, row.name)
    )
    return SupplierPage(
        supplier=found,
        sold=tuple(SoldMaterial(row, tuple(packs.get(row.pk, ()))) for row in in_use),
        coming=tuple(open_deliveries().filter(order__supplier=found)),
    )


def supplier_pack(pack_id: int) -> SupplierPack:
    """The pack with this id, with its material and supplier. One query.

    Raises: StudioError when there is none.
    """
    found = SupplierPack.objects.select_related("material", "supplier").filter(pk=pack_id).first()
    if found is None:
        raise StudioError("There is no such pack. Look at what the supplier sells.", pack_id=pack_id)
    return found


def placed_orders() -> list[PlacedOrder]:
    """What is ordered and not in, order by order, the earliest expected first. One query."""
    groups: dict[tuple[str, int], list[Delivery]] = {}
    for line in open_deliveries():
        groups.setdefault(("order", line.order_id) if line.order_id else ("alone", line.pk), []).append(line)
    return [_placed(lines) for lines in groups.values()]


def _placed(lines: Sequence[Delivery]) -> PlacedOrder:
    order = lines[0].order
    return PlacedOrder(
        supplier=order.supplier.name if order else "",
        supplier_id=order.supplier_id if order else None,
        reference=order.reference if order else "",
        ordered_on=lines[0].ordered_on,
        lines=tuple(lines),
    )
