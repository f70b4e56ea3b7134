"""What comes in from suppliers, in full or in part, each delivery as a lot of its own."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from inventory.arithmetic.codes import make_code
from inventory.arithmetic.drawing import share_out
from inventory.errors import OverCapacity, PastItsDate, StudioError, TakenInBefore, WrongMaterial
from inventory.models import Container, Delivery, Lot, Material, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import Move, outside, post
from inventory.operations.ordering import material_in_use
from inventory.operations.places import new_tub
from inventory.operations.tubs import held_in, note_refilled_from_empty, states_around, take_tub
from inventory.queries.wording import full_day, in_words, week_day


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
    price_minor: int | None = 0,
    delivery_id: int | None = None,
    rest_expected_on: date | None = None,
    is_another: bool = False,
    although_past: bool = False,
) -> Done:
    """Take a delivery in as a new lot, into a tub that is there or into a new one.

    Parameters: `amount` in thousandths; `new_container` the keywords of `new_tub`; `price_minor` for the
    whole lot, None for its part of what the order was priced at; `best_before` reckoned from the material's
    unopened life when not typed; `delivery_id` the order it belongs to, `rest_expected_on` when the rest of
    that order is still to come (else it is called off); `is_another` when the same lot number, amount and day
    are no mistake; `although_past` takes it in although its best before is over.
    Changes: a lot, the ledger, the tub's opened life when it was empty, the order.
    Again: answers the first sentence.
    Raises: OverCapacity, WrongMaterial, ContainerRetired; TakenInBefore; PastItsDate; StudioError as
    `new_tub`, for nothing, for an order that is in already.
    """
    material = material_in_use(material_id)
    if amount <= 0:
        raise StudioError("Type how much came in.", field="amount")
    if best_before is None and material.unopened_life_days is not None:
        best_before = received_on + timedelta(days=material.unopened_life_days)
    if best_before is not None and best_before < received_on and not although_past:
        raise PastItsDate(
            f"Best before {full_day(best_before)} is earlier than the day it came in."
            " Look at the label again, or tick that it is taken in all the same.",
            field="best_before",
            best_before=best_before,
        )
    if not is_another:
        _check_not_here(material, supplier_lot, amount, received_on)
    tub = _tub_for(material, amount, container_id, new_container)
    lot = new_lot(
        material=material,
        supplier_id=supplier_id or material.supplier_id,
        supplier_lot=supplier_lot,
        received_on=received_on,
        best_before=best_before,
        amount=amount,
        price_minor=_as_ordered(delivery_id, amount) if price_minor is None else price_minor,
    )
    with states_around([tub]) as tubs:
        if not held_in(tub):
            note_refilled_from_empty(tub)
    post(tap, Posting.Kind.RECEIPT, [Move(lot.pk, outside("supplier").pk, tub.place_id, amount)])
    facts = {"lot_id": lot.pk, "lot": lot.code, "container_id": tub.pk, "code": tub.code, "tubs": tubs}
    said = f"{in_words(amount, material.unit)} {material.name} into {tub.code}, lot {lot.code}."
    if delivery_id is not None:
        closed, what_of_the_rest = _close_delivery(delivery_id, lot, rest_expected_on)
        facts |= closed
        said += what_of_the_rest
    return Done(said, facts)


@act("inventory.price_lot")
def price_lot(tap: Tap, *, lot_id: int, price_minor: int) -> Done:
    """Note what a whole lot cost (minor units, 0 for not known); what it is worth follows at once.

    Changes: the lot.
    Again: answers the first sentence.
    Raises: StudioError for a lot that is not there.
    """
    lot = Lot.objects.select_for_update().filter(pk=lot_id).first()
    if lot is None:
        raise StudioError("There is no such lot. Choose one from the list.", lot_id=lot_id)
    Lot.objects.filter(pk=lot.pk).update(price_minor=price_minor)
    return Done(
        f"The price of lot {lot.code} is noted." if price_minor else f"No price is noted of lot {lot.code}.",
        {"lot_id": lot.pk, "was": lot.price_minor, "is": price_minor},
    )


def _check_not_here(material: Material, supplier_lot: str, amount: int, received_on: date) -> None:
    """Refuse a delivery that looks like one taken in before: the same lot number, amount and day."""
    if not supplier_lot:
        return
    twin = (
        Lot.objects.filter(
            material=material, supplier_lot__iexact=supplier_lot, amount=amount, received_on=received_on
        )
        # One that was undone may come in again.
        .filter(entries__posting__kind=Posting.Kind.RECEIPT, entries__posting__reversed_by__isnull=True)
        .first()
    )
    if twin:
        raise TakenInBefore(
            f"{in_words(amount, material.unit)} of lot {supplier_lot} came in on {full_day(received_on)}"
            f" already, as {twin.code}. Tick that this is another delivery if it is.",
            field="supplier_lot",
            lot=twin.code,
        )


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


def new_lot(**fields: Any) -> Lot:
    """A lot whose code is its own row number with a check character."""
    lot = Lot.objects.create(code=uuid4().hex[:16], **fields)
    lot.code = make_code(lot.pk, "L")
    Lot.objects.filter(pk=lot.pk).update(code=lot.code)
    return lot


def _as_ordered(delivery_id: int | None, amount: int) -> int:
    """What so much (thousandths) of an order costs as it was priced; more than was ordered costs no more."""
    ordered = Delivery.objects.filter(pk=delivery_id).first() if delivery_id else None
    if ordered is None:
        return 0
    return share_out(ordered.price_minor, [amount, max(0, ordered.amount - amount)])[0]


def _close_delivery(delivery_id: int, lot: Lot, rest_expected_on: date | None) -> tuple[dict[str, Any], str]:
    """Tie the order to the lot. What is missing becomes a row of its own: awaited on a day, or called off."""
    delivery = Delivery.objects.select_for_update().filter(pk=delivery_id).first()
    if delivery is None or delivery.material_id != lot.material_id:
        raise StudioError("This order is for something else. Choose another.", field="delivery")
    if delivery.received_lot_id is not None:
        raise StudioError("This order was taken in before. Look at Tubs and lots.", field="delivery")
    if delivery.cancelled_on is not None:
        raise StudioError(
            f"This order was called off {week_day(delivery.cancelled_on)}. Choose none, or another.",
            field="delivery",
        )
    missing = delivery.amount - lot.amount
    facts = {
        "delivery_id": delivery.pk,
        "ordered": delivery.amount,
        "price_minor": delivery.price_minor,
        "rest_id": None,
    }
    if missing <= 0:
        Delivery.objects.filter(pk=delivery.pk).update(received_lot=lot)
        return facts, ""
    part_price, rest_price = share_out(delivery.price_minor, [lot.amount, missing])
    rest = Delivery.objects.create(
        order_id=delivery.order_id,
        material_id=delivery.material_id,
        amount=missing,
        price_minor=rest_price,
        ordered_on=delivery.ordered_on,
        expected_on=rest_expected_on or delivery.expected_on,
        cancelled_on=None if rest_expected_on else lot.received_on,
    )
    Delivery.objects.filter(pk=delivery.pk).update(
        received_lot=lot, amount=lot.amount, price_minor=part_price
    )
    left = in_words(missing, lot.material.unit)
    ended = f"expected {week_day(rest_expected_on)}" if rest_expected_on else "called off"
    return facts | {"rest_id": rest.pk}, f" The other {left} is {ended}."
