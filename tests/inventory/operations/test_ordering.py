"""Orders placed with suppliers, and what comes of them."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest

from inventory.errors import NothingToUndo, NotOrderedLikeThis, PastItsDate, StudioError, TakenInBefore
from inventory.models import Delivery, Lot, SupplierOrder
from inventory.operations.ordering import (
    call_off_delivery,
    expect_delivery,
    place_order,
    put_off_delivery,
)
from inventory.operations.receiving import receive_lot
from inventory.operations.undoing import UNDO
from tests.factories.inventory import KG, a_material, a_supplier, a_tap, a_tub, held, ledger_size
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

TODAY, FRIDAY, NEXT_MONDAY = date(2026, 10, 5), date(2026, 10, 9), date(2026, 10, 12)


def an_order(supplier, *materials, key=None, **changed):
    lines = [(material.pk, 20 * KG, 3001) for material in materials]
    content = {"supplier_id": supplier.pk, "lines": lines, "ordered_on": TODAY, "expected_on": FRIDAY}
    return place_order(**{**content, **changed}, **a_tap(key))


def take_in(tub, amount, **typed):
    content = {
        "material_id": tub.material_id,
        "container_id": tub.pk,
        "amount": amount,
        "received_on": FRIDAY,
    }
    return receive_lot(**{**content, **typed}, **a_tap())


@pytest.fixture
def mudlark(db):
    return a_supplier(name="Mudlark Minerals")


@pytest.fixture
def powder(mudlark):
    return a_material(name="Quick compound", supplier=mudlark)


def test_an_order_has_a_delivery_for_each_material(mudlark, powder):
    done = an_order(mudlark, powder, a_material(name="Rust oxide"), reference="M-771")

    assert done.said == "2 materials ordered from Mudlark Minerals, expected Fri 9 Oct."
    order = SupplierOrder.objects.get(pk=done.facts["order_id"])
    assert (order.reference, order.lines.count()) == ("M-771", 2)
    assert order.lines.get(material=powder).price_minor == 3001


def test_the_same_tap_again_orders_once(mudlark, powder):
    key = uuid4()

    first, again = an_order(mudlark, powder, key=key), an_order(mudlark, powder, key=key)

    assert (again.said, again.again) == (first.said, True)
    assert Delivery.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "sentence", "field"),
    [
        ({"lines": []}, "Nothing is ordered", "lines"),
        ({"expected_on": date(2026, 10, 4)}, "is before the day it was ordered", "expected_on"),
        ({"supplier_id": 987_654}, "no such supplier", "supplier"),
    ],
)
def test_refuses_and_notes_nothing(mudlark, powder, changed, sentence, field):
    with pytest.raises(NotOrderedLikeThis, match=sentence) as caught:
        an_order(mudlark, powder, **changed)

    assert caught.value.facts["field"] == field
    assert (SupplierOrder.objects.count(), Delivery.objects.count()) == (0, 0)


def test_refuses_a_material_not_in_use_and_keeps_no_half_order(mudlark, powder):
    with pytest.raises(StudioError, match="not in use"):
        an_order(mudlark, powder, a_material(retired_on=TODAY))

    assert SupplierOrder.objects.count() == 0


def test_undone_nothing_is_expected_until_it_came_in(mudlark, powder):
    done = an_order(mudlark, powder)
    UNDO["inventory.place_order"](act_id=done.act_id, **a_tap())
    assert (SupplierOrder.objects.count(), Delivery.objects.count()) == (0, 0)

    done = an_order(mudlark, powder)
    take_in(a_tub(powder), 20 * KG, delivery_id=done.facts["delivery_ids"][0])
    with pytest.raises(NothingToUndo, match="in already"):
        UNDO["inventory.place_order"](act_id=done.act_id, **a_tap())


def test_what_is_ordered_of_one_material_is_a_line_of_an_order_to_its_supplier(mudlark, powder):
    done = expect_delivery(material_id=powder.pk, amount=KG, ordered_on=TODAY, expected_on=FRIDAY, **a_tap())

    assert Delivery.objects.get(pk=done.facts["delivery_ids"][0]).order.supplier == mudlark


def test_part_of_it_in_the_rest_awaited_then_called_off_with_the_price_shared(mudlark, powder):
    (delivery_id,) = an_order(mudlark, powder).facts["delivery_ids"]
    tub = a_tub(powder)

    done = take_in(tub, 15 * KG, delivery_id=delivery_id, rest_expected_on=NEXT_MONDAY, supplier_lot="Q1")

    assert done.said.endswith("The other 5.00 kg is expected Mon 12 Oct.")
    rest = Delivery.objects.get(received_lot__isnull=True)
    # 30.01 shared three to one, to the last penny.
    assert (rest.amount, rest.price_minor, rest.order_id) == (5 * KG, 750, SupplierOrder.objects.get().pk)
    assert Delivery.objects.get(pk=delivery_id).price_minor == 2251

    off = call_off_delivery(delivery_id=rest.pk, on=NEXT_MONDAY, **a_tap())
    assert off.said == "5.00 kg Quick compound called off."
    with pytest.raises(StudioError, match="called off Mon 12 Oct"):
        take_in(tub, 5 * KG, delivery_id=rest.pk)
    with pytest.raises(StudioError, match="was called off"):
        call_off_delivery(delivery_id=rest.pk, on=NEXT_MONDAY, **a_tap())

    UNDO["inventory.call_off_delivery"](act_id=off.act_id, **a_tap())
    rest.refresh_from_db()
    assert rest.cancelled_on is None


def test_a_part_without_a_day_for_the_rest_calls_the_rest_off_and_says_so(mudlark, powder):
    (delivery_id,) = an_order(mudlark, powder).facts["delivery_ids"]
    tub = a_tub(powder)

    done = take_in(tub, 15 * KG, delivery_id=delivery_id)

    assert done.said.endswith("The other 5.00 kg is called off.")
    assert Delivery.objects.get(received_lot__isnull=True).cancelled_on == FRIDAY

    UNDO["inventory.receive_lot"](act_id=done.act_id, **a_tap())
    open_again = Delivery.objects.get()
    assert (open_again.amount, open_again.price_minor, held(tub)) == (20 * KG, 3001, 0)


def test_a_delivery_put_off_is_expected_on_the_other_day(mudlark, powder):
    (delivery_id,) = an_order(mudlark, powder).facts["delivery_ids"]

    done = put_off_delivery(delivery_id=delivery_id, expected_on=NEXT_MONDAY, **a_tap())

    assert done.said == "20.00 kg Quick compound expected Mon 12 Oct, not Fri 9 Oct."
    assert Delivery.objects.get().expected_on == NEXT_MONDAY

    UNDO["inventory.put_off_delivery"](act_id=done.act_id, **a_tap())
    assert Delivery.objects.get().expected_on == FRIDAY


def test_what_is_in_can_be_neither_put_off_nor_called_off(mudlark, powder):
    (delivery_id,) = an_order(mudlark, powder).facts["delivery_ids"]
    take_in(a_tub(powder), 20 * KG, delivery_id=delivery_id)

    with pytest.raises(StudioError, match="in already"):
        put_off_delivery(delivery_id=delivery_id, expected_on=NEXT_MONDAY, **a_tap())
    with pytest.raises(StudioError, match="in already"):
        call_off_delivery(delivery_id=delivery_id, on=FRIDAY, **a_tap())
    with pytest.raises(StudioError, match="no such order"):
        call_off_delivery(delivery_id=987_654, on=FRIDAY, **a_tap())


def test_a_delivery_booked_twice_is_refused_until_it_is_said_to_be_another(powder):
    tub = a_tub(powder, capacity=60 * KG)
    first = take_in(tub, 20 * KG, supplier_lot="QC-2608")
    before = ledger_size()

    with pytest.raises(TakenInBefore) as caught:
        take_in(tub, 20 * KG, supplier_lot="qc-2608")

    assert caught.value.message == (
        f"20.00 kg of lot qc-2608 came in on 9 Oct 2026 already, as {first.facts['lot']}."
        " Tick that this is another delivery if it is."
    )
    assert ledger_size() == before
    take_in(tub, 20 * KG, supplier_lot="QC-2608", is_another=True)
    assert held(tub) == 40 * KG


def test_a_delivery_that_was_undone_may_come_in_again(powder):
    tub = a_tub(powder)
    first = take_in(tub, 20 * KG, supplier_lot="QC-2608")
    UNDO["inventory.receive_lot"](act_id=first.act_id, **a_tap())

    take_in(tub, 20 * KG, supplier_lot="QC-2608")

    assert held(tub) == 20 * KG


def test_a_lot_past_its_date_comes_in_only_when_that_is_said(powder):
    tub = a_tub(powder)

    with pytest.raises(PastItsDate, match="earlier than the day it came in"):
        take_in(tub, KG, best_before=date(2026, 10, 8))

    take_in(tub, KG, best_before=date(2026, 10, 8), although_past=True)
    assert Lot.objects.get().best_before == date(2026, 10, 8)


@pytest.mark.django_db(transaction=True)
def test_one_delivery_taken_in_by_two_people_at_once_is_in_once():
    powder = a_material()
    tub = a_tub(powder, capacity=100 * KG)
    (delivery_id,) = an_order(a_supplier(), powder).facts["delivery_ids"]

    answers = at_once(*[lambda: take_in(tub, 20 * KG, delivery_id=delivery_id)] * 3)

    refused = [answer for answer in answers if isinstance(answer, StudioError)]
    assert [fault.message for fault in refused] == [
        "This order was taken in before. Look at Tubs and lots."
    ] * 2
    assert held(tub) == 20 * KG
