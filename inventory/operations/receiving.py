"""What comes from suppliers: noted when ordered, taken in when it is there."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from inventory.arithmetic.codes import make_code
from inventory.errors import OverCapacity, StudioError, WrongMaterial
from inventory.models import Container, Delivery, Lot, Material, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import Move, outside, post
from inventory.operations.places import new_tub
from inventory.operations.tubs import held_in, note_refilled_from_empty, states_around, take_tub
from inventory.queries.wording import full_day, in_words, week_day


@act("inventory.expect_delivery")
def expect_delivery(tap: Tap, *, material_id: int, amount: int, ordered_on: date, expected_on: date) -> Done:
    """Note an order placed with a supplier (amount in thousandths), so that the stair counts on it.

    Changes: one delivery.
    Again: answers the first sentence.
    Raises: StudioError for nothing, or a day before the order.
    """
    material = _material(material_id)
    if amount <= 0:
        raise StudioError("Type how much was ordered.", field="amount")
    if expected_on < ordered_on:
        raise StudioError(
            f"{week_day(expected_on, ordered_on)} is before the day it was ordered. Type a later day.",
            field="expected_on",
        )
    delivery = Delivery.objects.create(
        material=material, amount=amount, ordered_on=ordered_on, expected_on=expected_on
    )
    return Done(
        f"{in_words(amount, material.unit)} {material.name} expected {week_day(expected_on, ordered_on)}.",
        {"delivery_id": delivery.pk},
    )


@act("inventory.receive_lot")
def receive_lot(
    tap: Tap,
    *,
    material_id: int,
    amount: int,
    received_on: date,
    container_id: int | None = None,
    new_container: dict[str, Any] | None = None,
    supplier_id: int | None = None,
    supplier_lot: str = "",
    best_before: date | None = None,
    price_minor: int = 0,
    delivery_id: int | None = None,
    rest_expected_on: date | None = None,
) -> Done:
    """Take a delivery in as a new lot, into a tub that is there or into a new one.

    Parameters: `amount` in thousandths; `new_container` the keywords of `new_tub`; `price_minor` for the
    whole lot; `best_before` reckoned from the material's unopened life when not typed; `delivery_id` the
    order it belongs to, `rest_expected_on` when the rest of that order is still to come.
    Changes: a lot, the ledger, the tub's opened life when it was empty, the order.
    Again: answers the first sentence.
    Raises: OverCapacity, WrongMaterial, ContainerRetired; StudioError as `new_tub`, for nothing, for a best
    before earlier than the receipt, for an order that is in already.
    """
    material = _material(material_id)
    if amount <= 0:
        raise StudioError("Type how much came in.", field="amount")
    if best_before is None and material.unopened_life_days is not None:
        best_before = received_on + timedelta(days=material.unopened_life_days)
    if best_before is not None and best_before < received_on:
        raise StudioError(
            f"Best before {full_day(best_before)} is earlier than the day it came in."
            " Look at the label again.",
            field="best_before",
        )
    tub = _tub_for(material, amount, container_id, new_container)
    lot = _new_lot(
        material=material,
        supplier_id=supplier_id or material.supplier_id,
        supplier_lot=supplier_lot,
        received_on=received_on,
        best_before=best_before,
        amount=amount,
        price_minor=price_minor,
    )
    with states_around([tub]) as tubs:
        if not held_in(tub):
            note_refilled_from_empty(tub)
    post(tap, Posting.Kind.RECEIPT, [Move(lot.pk, outside("supplier").pk, tub.place_id, amount)])
    facts = {"lot_id": lot.pk, "lot": lot.code, "container_id": tub.pk, "code": tub.code, "tubs": tubs}
    if delivery_id is not None:
        facts |= _close_delivery(delivery_id, lot, rest_expected_on)
    return Done(f"{in_words(amount, material.unit)} {material.name} into {tub.code}, lot {lot.code}.", facts)


def _material(material_id: int) -> Material:
    material = Material.objects.filter(pk=material_id).first()
    if material is None or material.retired_on:
        raise StudioError("This material is not in use. Choose another.", field="material")
    return material


def _tub_for(
    material: Material, amount: int, container_id: int | None, new_container: dict[str, Any] | None
) -> Container:
    """The tub the delivery goes into, locked; refused when it is for something else or too small."""
    if container_id is None:
        if new_container is None:
            raise StudioError("Choose the tub it goes into, or make a new one.", field="container")
        tub = new_tub(material.pk, **new_container)
    else:
        tub = take_tub(container_id)
    if tub.material_id != material.pk:
        raise WrongMaterial(
            f"{tub.code} is for {tub.material.name}, and this is {material.name}. Choose another tub.",
            container=tub.code,
            field="container",
        )
    held = held_in(tub)
    if held + amount > tub.capacity:
        most = max(0, tub.capacity - held)
        raise OverCapacity(
            f"{tub.code} holds {in_words(tub.capacity, material.unit)} and has room for"
            f" {in_words(most, material.unit)}. Take the rest into another tub.",
            container=tub.code,
            most=most,
            field="amount",
        )
    return tub


def _new_lot(**fields: Any) -> Lot:
    """A lot whose code is its own row number with a check character."""
    lot = Lot.objects.create(code=uuid4().hex[:16], **fields)
    lot.code = make_code(lot.pk, "L")
    Lot.objects.filter(pk=lot.pk).update(code=lot.code)
    return lot


def _close_delivery(delivery_id: int, lot: Lot, rest_expected_on: date | None) -> dict[str, Any]:
    """Tie the order to the lot; with a day for the rest, what is missing becomes an order of its own."""
    delivery = Delivery.objects.select_for_update().filter(pk=delivery_id).first()
    if delivery is None or delivery.material_id != lot.material_id:
        raise StudioError("This order is for something else. Choose another.", field="delivery")
    if delivery.received_lot_id is not None:
        raise StudioError("This order was taken in before. Look at Tubs and lots.", field="delivery")
    facts = {"delivery_id": delivery.pk, "ordered": delivery.amount, "rest_id": None}
    changes: dict[str, Any] = {"received_lot": lot}
    if rest_expected_on is not None and lot.amount < delivery.amount:
        rest = Delivery.objects.create(
            material_id=delivery.material_id,
            amount=delivery.amount - lot.amount,
            ordered_on=delivery.ordered_on,
            expected_on=rest_expected_on,
        )
        facts["rest_id"] = rest.pk
        changes["amount"] = lot.amount
    Delivery.objects.filter(pk=delivery.pk).update(**changes)
    return facts
