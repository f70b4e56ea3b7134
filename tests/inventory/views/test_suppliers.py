"""Suppliers, their packs, orders placed with them and what comes of those, on the pages."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Delivery, Supplier, SupplierPack
from inventory.operations.ordering import expect_delivery, keep_pack
from tests.factories.inventory import KG, a_material, a_post, a_supplier, a_tap

pytestmark = pytest.mark.django_db


@pytest.fixture
def mudlark(studio_open):
    return a_supplier(name="Mudlark Minerals", lead_working_days=4)


@pytest.fixture
def powder(mudlark):
    return a_material(name="Quick compound", supplier=mudlark, safety_level=3 * KG)


def test_a_supplier_is_added_and_changed(signed_in: Client):
    signed_in.post(
        reverse("inventory:supplier-new"),
        a_post(name="Mudlark Minerals", lead_working_days="4", carriage_minor="12.50"),
    )
    supplier = Supplier.objects.get()
    assert (supplier.lead_working_days, supplier.carriage_minor) == (4, 1250)

    page = signed_in.post(
        reverse("inventory:supplier-change", args=[supplier.pk]),
        a_post(name="Mudlark Minerals", lead_working_days="2", carriage_minor=""),
        follow=True,
    )
    assert "Takes 2 working days." in page.content.decode()


def test_a_pack_is_noted_priced_anew_and_taken_out(signed_in: Client, mudlark, powder):
    address = reverse("inventory:pack-add", args=[mudlark.pk])

    page = signed_in.post(address, a_post(material=powder.pk, size="20 kg", price="50.00"), follow=True)
    assert "Mudlark Minerals sells Quick compound in packs of 20 kg." in page.content.decode()
    page = signed_in.post(address, a_post(material=powder.pk, size="20000 g", price="55"), follow=True)
    assert "at another price" in page.content.decode()
    pack = SupplierPack.objects.get()
    assert (pack.amount, pack.price_minor) == (20 * KG, 5500)

    signed_in.post(reverse("inventory:pack-remove", args=[pack.pk]), a_post())
    assert not SupplierPack.objects.exists()


@pytest.mark.parametrize(
    ("size", "sentence"),
    [
        ("20", "Type g, kg"),
        ("12 pcs", "a weight is wanted"),
        ("0 kg", "A pack holds something"),
        ("", "Fill this in"),
    ],
)
def test_a_pack_that_makes_no_sense_is_refused_beside_its_size(
    signed_in: Client, mudlark, powder, size, sentence
):
    answer = signed_in.post(
        reverse("inventory:pack-add", args=[mudlark.pk]), a_post(material=powder.pk, size=size)
    )

    if size == "20":
        # A bare figure is grams, as everywhere a material is kept in grams.
        assert SupplierPack.objects.get().amount == 20_000
    else:
        assert answer.status_code == 422
        assert sentence in " ".join(answer.context["form"].errors["size"])
        assert not SupplierPack.objects.exists()


def test_what_to_order_leads_to_the_order_with_the_suggested_packs_typed_in(
    signed_in: Client, mudlark, powder
):
    for size, price in ((5 * KG, 1800), (20 * KG, 5000)):
        keep_pack(supplier_id=mudlark.pk, material_id=powder.pk, amount=size, price_minor=price, **a_tap())

    page = signed_in.get(reverse("inventory:to-order")).content.decode()
    assert "1 pack of 5 kg, 18.00 GBP" in page
    assert "Order today" in page

    address = reverse("inventory:supplier", args=[mudlark.pk])
    form = signed_in.get(f"{address}?suggest=1").context["form"]
    small, large = SupplierPack.objects.order_by("amount")
    assert form[f"pack_{small.pk}"].value() == 1
    assert form[f"pack_{large.pk}"].value() is None


def test_an_order_is_placed_put_off_and_called_off(signed_in: Client, mudlark, powder):
    keep_pack(supplier_id=mudlark.pk, material_id=powder.pk, amount=20 * KG, price_minor=5000, **a_tap())
    pack = SupplierPack.objects.get()
    oxide = a_material(name="Rust oxide", kind="pigment", supplier=mudlark)
    typed = {f"pack_{pack.pk}": "2", f"amount_{oxide.pk}": "0.5 kg"}

    page = signed_in.post(
        reverse("inventory:supplier", args=[mudlark.pk]),
        a_post(ordered_on="2026-10-05", expected_on="2026-10-09", reference="M-771", **typed),
        follow=True,
    ).content.decode()

    assert "2 materials ordered from Mudlark Minerals, expected Fri 9 Oct." in page
    assert "their number M-771" in page
    line = Delivery.objects.get(material=powder)
    assert (line.amount, line.price_minor) == (40 * KG, 10_000)

    signed_in.post(reverse("inventory:put-off", args=[line.pk]), a_post(expected_on="2026-10-12"))
    line.refresh_from_db()
    assert line.expected_on == date(2026, 10, 12)

    page = signed_in.post(
        reverse("inventory:call-off", args=[line.pk]), a_post(), follow=True
    ).content.decode()
    assert "40.00 kg Quick compound called off." in page
    assert page.count("Take it in") == 1


def test_an_order_of_nothing_or_for_yesterday_keeps_what_was_typed(signed_in: Client, mudlark, powder):
    address = reverse("inventory:supplier", args=[mudlark.pk])

    nothing = signed_in.post(address, a_post(ordered_on="2026-10-05", expected_on="2026-10-09"))
    early = signed_in.post(
        address,
        a_post(ordered_on="2026-10-05", expected_on="2026-10-01", **{f"amount_{powder.pk}": "5 kg"}),
    )

    assert (nothing.status_code, early.status_code) == (422, 422)
    assert "Nothing is ordered" in nothing.content.decode()
    assert "is before the day it was ordered" in " ".join(early.context["form"].errors["expected_on"])
    assert 'value="5 kg"' in early.content.decode()
    assert not Delivery.objects.exists()


def test_another_day_that_is_none_is_said(signed_in: Client, mudlark, powder):
    done = expect_delivery(
        material_id=powder.pk,
        amount=KG,
        ordered_on=date(2026, 10, 5),
        expected_on=date(2026, 10, 9),
        **a_tap(),
    )
    address = reverse("inventory:put-off", args=done.facts["delivery_ids"])

    page = signed_in.post(address, a_post(expected_on="soon"), follow=True).content.decode()

    assert "That is not a day." in page


def test_what_is_late_is_flagged_where_it_is_awaited_and_on_top_of_the_stores(
    signed_in: Client, mudlark, powder
):
    signed_in.post(
        reverse("inventory:supplier", args=[mudlark.pk]),
        a_post(ordered_on="2026-09-01", expected_on="2026-09-04", **{f"amount_{powder.pk}": "5 kg"}),
    )

    placed = signed_in.get(reverse("inventory:placed")).content.decode()
    stores = signed_in.get(reverse("inventory:stores")).content.decode()
    week = signed_in.get("/week/").content.decode()

    assert "4 Sep, not in yet" in placed
    for page in (stores, week):
        assert "5.00 kg Quick compound from Mudlark Minerals was expected Fri 4 Sep" in page


def test_empty_pages_say_how_to_begin(signed_in: Client, mudlark):
    assert (
        "Nothing is noted that they sell. Add a pack to begin."
        in signed_in.get(reverse("inventory:supplier", args=[mudlark.pk])).content.decode()
    )
    assert "Note one when it is placed" in signed_in.get(reverse("inventory:placed")).content.decode()
    assert "Nothing to order" in signed_in.get(reverse("inventory:to-order")).content.decode()
