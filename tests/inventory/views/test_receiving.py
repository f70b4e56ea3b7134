"""Taking in deliveries and noting orders on the page."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Container, Delivery, Lot
from inventory.operations.ordering import place_order
from tests.factories.inventory import (
    KG,
    a_filled_tub,
    a_material,
    a_post,
    a_supplier,
    a_tap,
    held,
    ledger_size,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material(name="Quick compound")
    bulk = a_filled_tub(13_720_000, powder, code="B4", tare_mg=1_180_000)
    working = a_filled_tub(5_310_000, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG)
    return bulk, working


def receive_address(material) -> str:
    return reverse("inventory:receive") + f"?material={material.pk}"


def test_a_delivery_into_a_new_tub(signed_in: Client, studio_open):
    powder = a_material(name="Quick compound", supplier=a_supplier())
    typed = a_post(
        amount="20",
        received_on="2026-10-05",
        price="42.00",
        supplier_lot="QC-2610",
        **{"tub-role": "bulk", "tub-tare": "1.18", "tub-capacity": "25"},
    )

    answer = signed_in.post(receive_address(powder), typed, follow=True)

    made = Container.objects.get()
    assert answer.redirect_chain[-1][0] == reverse("inventory:tub", args=[made.code])
    assert (made.tare_mg, held(made), Lot.objects.get().price_minor) == (1_180_000, 20 * KG, 4200)


def test_a_delivery_into_a_tub_that_is_there_and_of_an_order(signed_in: Client, tubs):
    bulk, _ = tubs
    signed_in.post(
        reverse("inventory:expect") + f"?material={bulk.material_id}",
        a_post(amount="12", ordered_on="2026-10-01", expected_on="2026-10-09"),
    )
    order = Delivery.objects.get()

    signed_in.post(
        receive_address(bulk.material),
        a_post(
            amount="10",
            container="B4",
            received_on="2026-10-05",
            delivery=order.pk,
            rest_expected_on="2026-10-12",
        )
        | {"container": bulk.pk},
    )

    assert held(bulk) == 23_720_000
    assert [delivery.amount for delivery in Delivery.objects.filter(received_lot__isnull=True)] == [2 * KG]


def test_a_delivery_that_does_not_fit_or_makes_no_sense_keeps_what_was_typed(signed_in: Client, tubs):
    bulk, _ = tubs
    before = ledger_size()

    for typed, sentence in [
        ({"amount": "20", "container": bulk.pk, "received_on": "2026-10-05"}, "has room for 11.28 kg"),
        ({"amount": "20", "received_on": "2026-10-05", "tub-role": "bulk"}, "Fill this in"),
        (
            {
                "amount": "2",
                "received_on": "2026-10-05",
                "tub-role": "bulk",
                "tub-tare": "1",
                "tub-capacity": "25",
                "tub-code": "B4",
            },
            "There is a tub B4 already. Choose another code.",
        ),
        ({"amount": "lots", "container": bulk.pk, "received_on": "2026-10-05"}, "is not an amount"),
        ({"amount": "1", "container": bulk.pk, "received_on": "2999-01-01"}, "has not come yet"),
        ({"amount": "1", "container": bulk.pk, "received_on": "soon"}, "That is not a day"),
    ]:
        answer = signed_in.post(receive_address(bulk.material), a_post(**typed))
        assert answer.status_code == 422, sentence
        assert sentence in answer.content.decode()
        assert f'value="{typed["amount"]}"' in answer.content.decode()
    assert (ledger_size(), Container.objects.count()) == (before, 2)


def test_an_order_due_before_it_was_placed_is_refused(signed_in: Client):
    powder = a_material()

    answer = signed_in.post(
        reverse("inventory:expect") + f"?material={powder.pk}",
        a_post(amount="12", ordered_on="2026-10-09", expected_on="2026-10-01"),
    )

    assert answer.status_code == 422
    assert "is before the day it was ordered" in answer.content.decode()


def test_a_scanned_label_gives_the_lot_and_the_best_before(signed_in: Client, tubs):
    """The string is made here after GS1: item (01), expiry (17), lot (10)."""
    signed_in.post(
        receive_address(tubs[0].material),
        a_post(
            amount="10",
            container=tubs[0].pk,
            received_on="2026-10-05",
            supplier_lot="]C101095212345432131728093010QC-2608",
        ),
    )

    lot = Lot.objects.get(supplier_lot="QC-2608")
    assert lot.best_before == date(2028, 9, 30)


def test_a_lot_number_that_is_too_long_is_refused_beside_its_field(signed_in: Client, tubs):
    answer = signed_in.post(
        receive_address(tubs[0].material),
        a_post(amount="1", container=tubs[0].pk, received_on="2026-10-05", supplier_lot="x" * 61),
    )

    assert answer.status_code == 422
    assert "It has 61 letters" in " ".join(answer.context["form"].errors["supplier_lot"])


def test_a_delivery_booked_twice_asks_and_goes_on_when_it_is_another(signed_in: Client, tubs):
    address = receive_address(tubs[0].material)
    typed = {"amount": "2", "container": tubs[0].pk, "received_on": "2026-10-05", "supplier_lot": "QC-2608"}
    signed_in.post(address, a_post(**typed))

    again = signed_in.post(address, a_post(**typed))

    assert again.status_code == 422
    assert "came in on 5 Oct 2026 already" in " ".join(again.context["form"].errors["supplier_lot"])
    assert 'name="is_another"' in again.content.decode()
    signed_in.post(address, a_post(**typed, is_another="on"))
    assert held(tubs[0]) == 13_720_000 + 4 * KG


def test_a_lot_past_its_date_asks_and_comes_in_all_the_same(signed_in: Client, tubs):
    address = receive_address(tubs[0].material)
    typed = {"amount": "2", "container": tubs[0].pk, "received_on": "2026-10-05", "best_before": "2026-09-01"}

    refused = signed_in.post(address, a_post(**typed))

    assert 'name="although_past"' in refused.content.decode()
    assert 'name="is_another"' not in refused.content.decode()
    signed_in.post(address, a_post(**typed, although_past="on"))
    assert held(tubs[0]) == 13_720_000 + 2 * KG


def test_what_was_ordered_is_typed_in_already(signed_in: Client, tubs):
    mudlark = a_supplier()
    done = place_order(
        supplier_id=mudlark.pk,
        lines=[(tubs[0].material_id, 10 * KG, 2500)],
        ordered_on=date(2026, 10, 1),
        expected_on=date(2026, 10, 5),
        **a_tap(),
    )
    address = receive_address(tubs[0].material)

    form = signed_in.get(f"{address}&delivery={done.facts['delivery_ids'][0]}").context["form"]
    none = signed_in.get(f"{address}&delivery=7777777").context["form"]

    assert (form["amount"].value(), form["price"].value()) == ("10.00", "25.00")
    assert form["supplier"].value() == mudlark.pk
    assert none["amount"].value() is None
