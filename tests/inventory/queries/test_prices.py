"""What the next of a material costs, and what says so."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import SupplierPack
from inventory.queries.prices import lot_prices, material_prices
from tests.factories.inventory import KG, a_lot, a_material, a_supplier, a_tub, fill

pytestmark = pytest.mark.django_db


def test_the_oldest_lot_that_is_reckoned_left_comes_first():
    """3 kg stand there: first in, first out leaves all of the new lot's 2 kg and 1 kg of the old one's 5."""
    tub = a_tub()
    a_lot(tub.material, 5 * KG, price_minor=1000, received_on=date(2026, 8, 1))
    fill(tub, 2 * KG, price_minor=1000, received_on=date(2026, 9, 1))
    fill(tub, 1 * KG, price_minor=0, received_on=date(2026, 7, 1))

    price = material_prices([tub.material_id])[tub.material_id]

    assert price.told_by == "first in, first out"
    assert price.cost_of(Fraction(KG)) == 200
    assert price.cost_of(Fraction(2 * KG)) == 200 + 500


def test_an_empty_tub_costs_what_its_last_delivery_did():
    material = a_material()
    a_lot(material, 5 * KG, price_minor=1500)

    price = material_prices([material.pk])[material.pk]

    assert (price.told_by, price.cost_of(Fraction(KG))) == ("the last delivery", 300)


def test_what_never_came_costs_what_its_supplier_asks_and_else_nothing_is_known():
    offered, unknown = a_material(), a_material()
    for amount, minor in ((KG, 400), (5 * KG, 1500)):
        SupplierPack.objects.create(supplier=a_supplier(), material=offered, amount=amount, price_minor=minor)

    prices = material_prices([offered.pk, unknown.pk])

    assert (prices[offered.pk].told_by, prices[offered.pk].cost_of(Fraction(KG))) == ("its supplier", 300)
    assert not prices[unknown.pk].is_known
    assert prices[unknown.pk].cost_of(Fraction(KG)) == 0


def test_many_materials_ask_no_more_than_one():
    def asked(materials):
        with CaptureQueriesContext(connection) as queries:
            material_prices([one.pk for one in materials])
        return len(queries)

    def some(count):
        tubs = [a_tub() for _ in range(count)]
        for tub in tubs:
            fill(tub, KG, price_minor=500)
        return [tub.material for tub in tubs]

    assert asked(some(5)) == asked(some(1))


def test_a_lot_costs_its_part_of_what_was_paid():
    lot = a_lot(a_material(), 3, price_minor=100)

    assert lot_prices([lot.pk]) == {lot.pk: Fraction(100, 3)}
