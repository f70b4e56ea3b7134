"""One supplier, what is sold there, and what is on its way."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.errors import StudioError
from inventory.operations.ordering import expect_delivery, keep_pack, place_order
from inventory.queries.suppliers import placed_orders, supplier, supplier_pack, supplier_page
from tests.factories.inventory import KG, a_material, a_supplier, a_tap

pytestmark = pytest.mark.django_db

TODAY, FRIDAY = date(2026, 10, 5), date(2026, 10, 9)


def a_pack(owner, material, amount, price_minor=0):
    content = {"supplier_id": owner.pk, "material_id": material.pk, "amount": amount}
    return keep_pack(**content, price_minor=price_minor, **a_tap())


def test_a_supplier_sells_what_packs_are_noted_of_and_what_is_bought_there(django_assert_num_queries):
    mudlark = a_supplier()
    powder = a_material(name="Quick compound")
    rust = a_material(name="Rust oxide", kind="pigment", supplier=mudlark)
    a_material(name="Old plaster", supplier=mudlark, retired_on=TODAY)
    a_pack(mudlark, powder, 20 * KG, 5000)
    a_pack(mudlark, powder, 5 * KG, 1800)
    expect_delivery(material_id=rust.pk, amount=KG, ordered_on=TODAY, expected_on=FRIDAY, **a_tap())

    with django_assert_num_queries(4):
        page = supplier_page(mudlark.pk)

    assert [(one.material.name, [pack.amount for pack in one.packs]) for one in page.sold] == [
        ("Rust oxide", []),
        ("Quick compound", [5 * KG, 20 * KG]),
    ]
    assert [line.material for line in page.coming] == [rust]


def test_what_is_on_its_way_stands_by_order(django_assert_num_queries):
    mudlark, other = a_supplier(name="Mudlark"), a_supplier(name="Samphire Salts")
    powder, rust, wax = a_material(), a_material(kind="pigment"), a_material(kind="wax")
    for seller, materials, on in ((mudlark, (powder, rust), FRIDAY), (other, (wax,), TODAY)):
        place_order(
            supplier_id=seller.pk,
            lines=[(material.pk, KG, 0) for material in materials],
            ordered_on=TODAY,
            expected_on=on,
            **a_tap(),
        )

    with django_assert_num_queries(1):
        placed = placed_orders()

    assert [(order.supplier, len(order.lines)) for order in placed] == [("Samphire Salts", 1), ("Mudlark", 2)]


def test_what_is_not_there_is_said():
    with pytest.raises(StudioError, match="no such supplier"):
        supplier(987_654)
    with pytest.raises(StudioError, match="no such pack"):
        supplier_pack(987_654)
