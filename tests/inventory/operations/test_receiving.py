"""What comes from suppliers."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest

from inventory.arithmetic.codes import read_code
from inventory.errors import ContainerRetired, NothingToUndo, OverCapacity, StudioError, WrongMaterial
from inventory.models import Container, Delivery, Lot
from inventory.operations.ledger import draw_from
from inventory.operations.ordering import expect_delivery, place_order
from inventory.operations.receiving import price_lot, receive_lot
from inventory.operations.undoing import UNDO
from tests.factories.inventory import (
    KG,
    MONDAY,
    a_filled_tub,
    a_material,
    a_supplier,
    a_tap,
    a_tap_of,
    a_tub,
    fill,
    held,
    ledger_size,
)
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

TODAY = date(2026, 10, 5)
NEW_TUB = {"role": "bulk", "tare_mg": 1 * KG, "capacity": 25 * KG}


def test_into_a_tub_that_is_there():
    tub = a_filled_tub(2 * KG, a_material(name="Quick compound"), code="B4")

    done = receive_lot(
        material_id=tub.material_id,
        amount=20 * KG,
        received_on=TODAY,
        container_id=tub.pk,
        supplier_lot="QC-2610",
        price_minor=4200,
        **a_tap(),
    )

    lot = Lot.objects.get(pk=done.facts["lot_id"])
    assert done.said == f"20.00 kg Quick compound into B4, lot {lot.code}."
    assert (lot.amount, lot.supplier_lot, lot.price_minor) == (20 * KG, "QC-2610", 4200)
    assert read_code(lot.code).number == lot.pk
    assert held(tub) == 22 * KG


def test_into_a_new_tub_that_gets_the_next_free_code():
    powder = a_material()
    a_tub(powder, code="B1")

    done = receive_lot(
        material_id=powder.pk, amount=20 * KG, received_on=TODAY, new_container=NEW_TUB, **a_tap()
    )

    made = Container.objects.get(pk=done.facts["container_id"])
    assert (made.code, made.role, made.tare_mg, held(made)) == ("B2", "bulk", 1 * KG, 20 * KG)


def test_an_empty_tub_starts_a_new_opened_life():
    tub = a_tub(opened_at=MONDAY, openings_count=4, is_lumpy=True)

    receive_lot(material_id=tub.material_id, amount=KG, received_on=TODAY, container_id=tub.pk, **a_tap())

    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count, tub.is_lumpy) == (None, 0, False)


def test_the_best_before_is_reckoned_from_the_unopened_life():
    tub = a_tub(a_material(unopened_life_days=90))

    done = receive_lot(
        material_id=tub.material_id, amount=KG, received_on=TODAY, container_id=tub.pk, **a_tap()
    )

    # 90 days after 5 October 2026, by the calendar.
    assert Lot.objects.get(pk=done.facts["lot_id"]).best_before == date(2027, 1, 3)


def test_the_order_it_belongs_to_is_closed():
    tub, delivery = an_order(20 * KG)

    receive_lot(
        material_id=tub.material_id,
        amount=20 * KG,
        received_on=TODAY,
        container_id=tub.pk,
        delivery_id=delivery.pk,
        **a_tap(),
    )

    delivery.refresh_from_db()
    assert delivery.received_lot.amount == 20 * KG
    assert Delivery.objects.count() == 1


def test_a_part_leaves_the_rest_to_come():
    tub, delivery = an_order(20 * KG)

    done = receive_lot(
        material_id=tub.material_id,
        amount=12 * KG,
        received_on=TODAY,
        container_id=tub.pk,
        delivery_id=delivery.pk,
        rest_expected_on=date(2026, 10, 12),
        **a_tap(),
    )

    rest = Delivery.objects.get(received_lot__isnull=True)
    assert (rest.amount, rest.expected_on) == (8 * KG, date(2026, 10, 12))

    UNDO["inventory.receive_lot"](act_id=done.act_id, **a_tap())
    open_again = Delivery.objects.get()
    assert (open_again.amount, open_again.received_lot, held(tub)) == (20 * KG, None, 0)


def an_order(amount):
    tub = a_tub()
    done = expect_delivery(
        material_id=tub.material_id, amount=amount, ordered_on=TODAY, expected_on=TODAY, **a_tap()
    )
    return tub, Delivery.objects.get(pk=done.facts["delivery_ids"][0])


def test_refuses_and_changes_nothing():
    tub = a_filled_tub(20 * KG, a_material(name="Quick compound"), code="B4")
    other = a_tub(a_material(name="Slow plaster"))
    retired = a_tub(tub.material, retired_on=TODAY)
    retired_material = a_material(retired_on=TODAY)
    _, foreign_order = an_order(KG)
    before = ledger_size(), Lot.objects.count(), Container.objects.count()
    good = {
        "material_id": tub.material_id,
        "amount": KG,
        "received_on": TODAY,
        "container_id": tub.pk,
    }

    for changed, refusal, sentence, field in [
        ({"amount": 6 * KG}, OverCapacity, "B4 holds 25.00 kg and has room for 5.00 kg", "amount"),
        ({"amount": 0}, StudioError, "Type how much came in", "amount"),
        ({"container_id": other.pk}, WrongMaterial, "is for Slow plaster", "container"),
        ({"container_id": retired.pk}, ContainerRetired, "retired since", None),
        ({"container_id": None}, StudioError, "Choose the tub", "container"),
        ({"container_id": 987_654}, StudioError, "no such tub", None),
        ({"material_id": retired_material.pk}, StudioError, "not in use", "material"),
        ({"best_before": date(2026, 10, 1)}, StudioError, "earlier than the day it came in", "best_before"),
        ({"delivery_id": foreign_order.pk}, StudioError, "for something else", "delivery"),
        (
            {"container_id": None, "new_container": {**NEW_TUB, "code": "B4"}},
            StudioError,
            "a tub B4 already",
            "code",
        ),
        (
            {"container_id": None, "new_container": {**NEW_TUB, "code": "4444"}},
            StudioError,
            "is not a tub code",
            "code",
        ),
        (
            {"container_id": None, "new_container": {**NEW_TUB, "capacity": 0}},
            StudioError,
            "when full",
            "capacity",
        ),
        (
            {"container_id": None, "new_container": {**NEW_TUB, "role": "jug"}},
            StudioError,
            "bulk tub or working tub",
            "role",
        ),
    ]:
        with pytest.raises(refusal, match=sentence) as caught:
            receive_lot(**{**good, **changed}, **a_tap())
        assert caught.value.facts.get("field") == field, sentence
    assert (ledger_size(), Lot.objects.count(), Container.objects.count()) == before


def test_an_order_taken_in_before_is_refused():
    tub, delivery = an_order(KG)
    content = {
        "material_id": tub.material_id,
        "amount": KG,
        "received_on": TODAY,
        "container_id": tub.pk,
        "delivery_id": delivery.pk,
    }
    receive_lot(**content, **a_tap())

    with pytest.raises(StudioError, match="taken in before"):
        receive_lot(**content, **a_tap())


def test_again_with_the_same_key_takes_in_once():
    tub, key = a_tub(), uuid4()
    content = {"material_id": tub.material_id, "amount": KG, "received_on": TODAY, "container_id": tub.pk}

    first = receive_lot(**content, **a_tap(key))
    again = receive_lot(**content, **a_tap(key))

    assert (again.said, again.again) == (first.said, True)
    assert (Lot.objects.count(), held(tub)) == (1, 1 * KG)


def test_undone_the_lot_is_taken_back_unless_it_was_used():
    tub = a_tub()
    content = {"material_id": tub.material_id, "amount": KG, "received_on": TODAY, "container_id": tub.pk}
    first, second = receive_lot(**content, **a_tap()), receive_lot(**content, **a_tap())
    UNDO["inventory.receive_lot"](act_id=first.act_id, **a_tap())
    assert held(tub) == 1 * KG

    draw_from(a_tap_of(), tub.pk, 1000, "mix")
    with pytest.raises(StudioError, match="used since"):
        UNDO["inventory.receive_lot"](act_id=second.act_id, **a_tap())
    with pytest.raises(NothingToUndo, match="undone before"):
        UNDO["inventory.receive_lot"](act_id=first.act_id, **a_tap())


def test_an_order_placed_is_noted_and_taken_back():
    powder = a_material(name="Quick compound", supplier=a_supplier())
    order = {"material_id": powder.pk, "ordered_on": TODAY, "expected_on": date(2026, 10, 9)}

    done = expect_delivery(amount=20 * KG, **order, **a_tap())
    assert done.said == "20.00 kg Quick compound expected Fri 9 Oct."

    UNDO["inventory.expect_delivery"](act_id=done.act_id, **a_tap())
    assert not Delivery.objects.exists()


def test_an_order_of_nothing_or_due_before_it_was_placed_is_refused():
    powder = a_material()

    with pytest.raises(StudioError, match="how much was ordered"):
        expect_delivery(material_id=powder.pk, amount=0, ordered_on=TODAY, expected_on=TODAY, **a_tap())
    with pytest.raises(StudioError, match="Sun 4 Oct is before the day it was ordered"):
        expect_delivery(
            material_id=powder.pk, amount=KG, ordered_on=TODAY, expected_on=date(2026, 10, 4), **a_tap()
        )
    assert not Delivery.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_at_once_into_one_tub_cannot_overfill_it():
    tub = a_tub(capacity=3 * KG)
    content = {"material_id": tub.material_id, "amount": 2 * KG, "received_on": TODAY, "container_id": tub.pk}

    answers = at_once(*[lambda: receive_lot(**content, **a_tap())] * 2)

    assert sorted(type(answer).__name__ for answer in answers) == ["Done", "OverCapacity"]
    assert held(tub) == 2 * KG


@pytest.mark.django_db(transaction=True)
def test_two_at_once_with_new_tubs_get_two_codes():
    powder = a_material()
    content = {"material_id": powder.pk, "amount": KG, "received_on": TODAY, "new_container": NEW_TUB}

    answers = at_once(*[lambda: receive_lot(**content, **a_tap())] * 3)

    assert sorted(answer.facts["code"] for answer in answers) == ["B1", "B2", "B3"]


def test_whoever_types_no_price_takes_it_in_for_its_part_of_the_orders():
    tub = a_tub(a_material())
    lines = [(tub.material_id, 20 * KG, 30_00)]
    days = {"ordered_on": date(2026, 10, 5), "expected_on": date(2026, 10, 9)}
    placed = place_order(supplier_id=a_supplier().pk, lines=lines, **days, **a_tap())
    content = {"material_id": tub.material_id, "container_id": tub.pk, "received_on": date(2026, 10, 9)}

    done = receive_lot(
        **content, amount=5 * KG, price_minor=None, delivery_id=placed.facts["delivery_ids"][0], **a_tap()
    )
    alone = receive_lot(**content, amount=KG, price_minor=None, **a_tap())

    prices = [Lot.objects.get(pk=one.facts["lot_id"]).price_minor for one in (done, alone)]
    assert prices == [7_50, 0]


def test_a_price_is_noted_later_and_taken_back():
    lot = Lot.objects.get(pk=fill(a_tub(a_material()), KG).pk)

    done = price_lot(lot_id=lot.pk, price_minor=12_34, **a_tap())
    lot.refresh_from_db()
    assert lot.price_minor == 12_34

    UNDO["inventory.price_lot"](act_id=done.act_id, **a_tap())
    lot.refresh_from_db()
    assert lot.price_minor == 0
    with pytest.raises(StudioError, match="no such lot"):
        price_lot(lot_id=987_654, price_minor=1, **a_tap())
