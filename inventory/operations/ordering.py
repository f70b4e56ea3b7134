"""Orders placed with suppliers: noted, put off, called off."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from inventory.errors import NotOrderedLikeThis, StudioError
from inventory.models import Delivery, Material, Supplier, SupplierOrder, SupplierPack
from inventory.operations.acts import Done, Tap, act
from inventory.queries.wording import in_words, level_in_words, week_day


@act("inventory.expect_delivery")
def expect_delivery(tap: Tap, *, material_id: int, amount: int, ordered_on: date, expected_on: date) -> Done:
    """Note one thing ordered (amount in thousandths), so that the stair counts on it.

    Changes: one delivery, and the order it is a line of where the supplier is noted.
    Again: answers the first sentence.
    Raises: StudioError for nothing, or a day before the order.
    """
    material = material_in_use(material_id)
    if amount <= 0:
        raise StudioError("Type how much was ordered.", field="amount")
    _check_days(ordered_on, expected_on)
    order = None
    if material.supplier_id:
        order = SupplierOrder.objects.create(supplier_id=material.supplier_id, ordered_on=ordered_on)
    delivery = Delivery.objects.create(
        order=order, material=material, amount=amount, ordered_on=ordered_on, expected_on=expected_on
    )
    return Done(
        f"{in_words(amount, material.unit)} {material.name} expected {week_day(expected_on, ordered_on)}.",
        {"delivery_ids": [delivery.pk]},
    )


@act("inventory.place_order")
def place_order(
    tap: Tap,
    *,
    supplier_id: int,
    lines: Sequence[tuple[int, int, int]],
    ordered_on: date,
    expected_on: date,
    reference: str = "",
) -> Done:
    """Note an order placed with one supplier.

    Parameters: `lines` as (material id, amount in thousandths, price in minor units or 0), one a material.
    Changes: one order with a delivery for each line.
    Again: answers the first sentence.
    Raises: NotOrderedLikeThis for no supplier, no lines, or a day before the order; StudioError for a
    material not in use.
    """
    supplier = Supplier.objects.filter(pk=supplier_id).first()
    if supplier is None:
        raise NotOrderedLikeThis("There is no such supplier. Add one.", field="supplier")
    if not lines or any(amount <= 0 for _, amount, _ in lines):
        raise NotOrderedLikeThis("Nothing is ordered. Type how many packs of what.", field="lines")
    _check_days(ordered_on, expected_on)
    order = SupplierOrder.objects.create(supplier=supplier, ordered_on=ordered_on, reference=reference)
    delivery_ids = []
    for material_id, amount, price_minor in lines:
        delivery = Delivery.objects.create(
            order=order,
            material=material_in_use(material_id),
            amount=amount,
            price_minor=price_minor,
            ordered_on=ordered_on,
            expected_on=expected_on,
        )
        delivery_ids.append(delivery.pk)
    count = f"{len(lines)} material{'' if len(lines) == 1 else 's'}"
    return Done(
        f"{count} ordered from {supplier.name}, expected {week_day(expected_on, ordered_on)}.",
        {"order_id": order.pk, "delivery_ids": delivery_ids},
    )


@act("inventory.put_off_delivery")
def put_off_delivery(tap: Tap, *, delivery_id: int, expected_on: date) -> Done:
    """Note that what was ordered comes on another day.

    Changes: the delivery.
    Again: answers the first sentence.
    Raises: StudioError when it is in or called off; NotOrderedLikeThis for a day before it was ordered.
    """
    delivery = _open_delivery(delivery_id)
    _check_days(delivery.ordered_on, expected_on)
    Delivery.objects.filter(pk=delivery.pk).update(expected_on=expected_on)
    return Done(
        f"{_words(delivery)} expected {week_day(expected_on, delivery.ordered_on)},"
        f" not {week_day(delivery.expected_on)}.",
        {
            "delivery_id": delivery.pk,
            "was": delivery.expected_on.isoformat(),
            "is": expected_on.isoformat(),
        },
    )


@act("inventory.call_off_delivery")
def call_off_delivery(tap: Tap, *, delivery_id: int, on: date) -> Done:
    """Note that what was ordered, or the rest of it, will not come.

    Changes: the delivery.
    Again: answers the first sentence.
    Raises: StudioError when it is in or was called off before.
    """
    delivery = _open_delivery(delivery_id)
    Delivery.objects.filter(pk=delivery.pk).update(cancelled_on=on)
    return Done(f"{_words(delivery)} called off.", {"delivery_id": delivery.pk})


@act("inventory.keep_pack")
def keep_pack(tap: Tap, *, supplier_id: int, material_id: int, amount: int, price_minor: int = 0) -> Done:
    """Note a size (thousandths) that a supplier sells, or the new price (minor units) of one.

    Changes: one pack; a material without a supplier gets this one.
    Again: answers the first sentence.
    Raises: NotOrderedLikeThis for no supplier or nothing in the pack; StudioError for a material not in use.
    """
    supplier = Supplier.objects.filter(pk=supplier_id).first()
    if supplier is None:
        raise NotOrderedLikeThis("There is no such supplier. Add one.", field="supplier")
    if amount <= 0:
        raise NotOrderedLikeThis("A pack holds something. Type how much.", field="size")
    material = material_in_use(material_id)
    pack, is_new = SupplierPack.objects.update_or_create(
        supplier=supplier, material=material, amount=amount, defaults={"price_minor": price_minor}
    )
    Material.objects.filter(pk=material.pk, supplier__isnull=True).update(supplier=supplier)
    size = level_in_words(amount, material.unit)
    what = "sells" if is_new else "sells, at another price,"
    return Done(f"{supplier.name} {what} {material.name} in packs of {size}.", {"pack_id": pack.pk})


@act("inventory.drop_pack")
def drop_pack(tap: Tap, *, pack_id: int) -> Done:
    """Note that a supplier does not sell a size any more.

    Changes: the pack is gone; what was ordered of it stays.
    Again: answers the first sentence.
    Raises: StudioError when it is gone already.
    """
    pack = SupplierPack.objects.select_related("material", "supplier").filter(pk=pack_id).first()
    if pack is None:
        raise StudioError("This pack is gone already.", pack_id=pack_id)
    pack.delete()
    size = level_in_words(pack.amount, pack.material.unit)
    return Done(f"{pack.supplier.name} does not sell {pack.material.name} in packs of {size} any more.")


def material_in_use(material_id: int) -> Material:
    """The material with this id, inside the act that needs it.

    Raises: StudioError when it is unknown or not used any more.
    """
    material = Material.objects.filter(pk=material_id).first()
    if material is None or material.retired_on:
        raise StudioError("This material is not in use. Choose another.", field="material")
    return material


def _open_delivery(delivery_id: int) -> Delivery:
    delivery = (
        Delivery.objects.select_for_update(of=("self",))
        .select_related("material")
        .filter(pk=delivery_id)
        .first()
    )
    if delivery is None:
        raise StudioError("There is no such order. Look at what is ordered.", delivery_id=delivery_id)
    if delivery.received_lot_id is not None:
        raise StudioError(f"{_words(delivery)} is in already. Undo the delivery first.")
    if delivery.cancelled_on is not None:
        raise StudioError(f"{_words(delivery)} was called off {week_day(delivery.cancelled_on)}.")
    return delivery


def _words(delivery: Delivery) -> str:
    return f"{in_words(delivery.amount, delivery.material.unit)} {delivery.material.name}"


def _check_days(ordered_on: date, expected_on: date) -> None:
    if expected_on < ordered_on:
        raise NotOrderedLikeThis(
            f"{week_day(expected_on, ordered_on)} is before the day it was ordered. Type a later day.",
            field="expected_on",
        )
