"""What to order, supplier by supplier, in which packs."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.operations.ledger import draw_from
from inventory.operations.ordering import keep_pack
from inventory.queries.running_out import running_out
from inventory.queries.to_order import to_order
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_supplier, a_tap, in_an_act

pytestmark = pytest.mark.django_db

TODAY, THURSDAY = date(2026, 10, 5), date(2026, 10, 8)


def weekdays(day: date) -> bool:
    return day.weekday() < 5


def sold(supplier, material, *packs):
    for amount, price_minor in packs:
        keep_pack(
            supplier_id=supplier.pk,
            material_id=material.pk,
            amount=amount,
            price_minor=price_minor,
            **a_tap(),
        )


def found(draws, today=TODAY):
    return to_order(running_out(today, draws, weekdays), currency="GBP")


@pytest.fixture
def mudlark(db):
    return a_supplier(name="Mudlark Minerals", lead_working_days=4, carriage_minor=1200)


def test_what_is_short_stands_under_its_supplier_with_the_cheapest_packs(mudlark):
    """2 kg held, 20 planned, 3 to keep: 21 short. 20 + 5 kg is 68.00; 5 x 5 kg 90.00; 2 x 20 kg 100.00."""
    powder = a_material(name="Quick compound", supplier=mudlark, safety_level=3 * KG)
    a_filled_tub(2 * KG, powder)
    sold(mudlark, powder, (5 * KG, 1800), (20 * KG, 5000))
    plenty = a_material(supplier=mudlark)
    a_filled_tub(5 * KG, plenty)
    unknown = a_material(name="Rust oxide", kind="pigment", safety_level=KG)

    none, mud = found({powder.pk: [(THURSDAY, 20 * KG)], plenty.pk: [(THURSDAY, KG)]})

    (line,) = mud.materials
    assert (mud.supplier, line.needed, mud.price_minor) == (mudlark, 21 * KG, 6800)
    assert line.basket_words == "1 pack of 20 kg and 1 of 5 kg, 68.00 GBP"
    assert line.fewer is None
    assert (none.supplier, [one.row.material_id for one in none.materials]) == (None, [unknown.pk])
    assert none.materials[0].basket is None


def test_fewer_packs_are_offered_beside_the_cheapest(mudlark):
    """12 kg: 3 x 5 kg is 30.00, 1 x 20 kg is 50.00."""
    powder = a_material(supplier=mudlark)
    sold(mudlark, powder, (5 * KG, 1000), (20 * KG, 5000))

    (mud,) = found({powder.pk: [(THURSDAY, 12 * KG)]})

    assert mud.materials[0].basket_words == "3 packs of 5 kg, 30.00 GBP"
    assert mud.materials[0].fewer_words == "1 pack of 20 kg, 50.00 GBP"


def test_a_bigger_pack_eaten_up_by_its_opened_life_is_said_with_both_figures(mudlark):
    """0.6 kg over 12 days is 0.05 a day: 9 kg of 20 in 180 days. 50.00 / 9 is 5.56, 18.00 / 5 is 3.60."""
    powder = a_material(name="Quick compound", supplier=mudlark, opened_life_days=180)
    sold(mudlark, powder, (5 * KG, 1800), (20 * KG, 5000))

    (mud,) = found({powder.pk: [(THURSDAY, 600_000)]})

    assert mud.materials[0].basket_words == "1 pack of 5 kg, 18.00 GBP"
    assert mud.materials[0].eaten == (
        "The pack of 20 kg costs 2.50 GBP a kg, that of 5 kg 3.60 GBP. At 50 g a day only 9.00 kg of the"
        " 20 kg is used in the 180 days it keeps once opened: 5.56 GBP a kg. The 5 kg are the cheaper."
    )


def test_without_a_plan_the_classic_order_quantity_is_said_and_bought(mudlark):
    """Worked by hand: 0.5 kg used on each of 28 days is 182.5 kg a year; a kg costs 2.50, keeping it 0.625.

    Q = sqrt(2 x 12.00 x 182.5 / 0.625) = 83.71 kg: five packs of 20 kg.
    """
    powder = a_material(name="Quick compound", supplier=mudlark)
    tub = a_filled_tub(15 * KG, powder)
    sold(mudlark, powder, (20 * KG, 5000))
    for day in range(1, 29):
        at = MONDAY - timedelta(days=day)
        with in_an_act(happened_at=at, now=MONDAY) as tap:
            draw_from(tap, tub.pk, 500_000, "mix")

    (mud,) = found({})

    (line,) = mud.materials
    assert line.classic == (
        "Carriage is 12.00 GBP and keeping is reckoned at a quarter of the price a year: about 83.7 kg at a"
        " time costs least."
    )
    assert line.basket_words == "5 packs of 20 kg, 250.00 GBP"


def test_it_asks_as_often_for_many(mudlark, django_assert_num_queries):
    draws = {}
    for number in range(5):
        material = a_material(supplier=mudlark if number % 2 else a_supplier())
        draws[material.pk] = [(THURSDAY, KG)]
    rows = running_out(TODAY, draws, weekdays)

    with django_assert_num_queries(2):
        to_order(rows, currency="GBP")
