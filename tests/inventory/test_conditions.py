"""What is worth a notice in the stores."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.conditions import Condition, deliveries_late, low_materials, opened_lives_over
from inventory.operations.counting import count_container
from inventory.operations.ordering import expect_delivery, put_off_delivery
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_supplier, a_tap

pytestmark = pytest.mark.django_db

TUESDAY = date(2026, 10, 6)


def test_a_material_that_falls_below_its_level_is_a_condition_with_the_day_to_order():
    low = a_material(
        name="Green oxide", safety_level=70_000, supplier=a_supplier(lead_working_days=3), slack_days=0
    )
    a_filled_tub(96_000, low)
    a_filled_tub(KG, a_material(name="Rust oxide", safety_level=70_000))

    conditions = low_materials(
        TUESDAY, {low.pk: [(date(2026, 10, 13), 30_000)]}, lambda day: day.weekday() < 5
    )

    # Tue 13 less three working days: Mon 12, Fri 9, Thu 8.
    assert conditions == [
        Condition(
            cause=f"low material {low.pk}",
            kind="low",
            text="Green oxide: Order by Thu 8 Oct. Below 70 g on Tue 13. Takes 3 working days.",
            link="/stores/",
        )
    ]


def test_the_key_stays_while_the_cause_lasts():
    low = a_material(safety_level=70_000)
    a_filled_tub(50_000, low)

    today, tomorrow = (
        low_materials(date(2026, 10, day), {low.pk: []}, lambda day: True)[0].cause for day in (6, 7)
    )

    assert today == tomorrow


def test_what_should_be_in_by_now_is_a_condition_until_it_is_put_off():
    seller = a_supplier(name="Mudlark Minerals")
    powder = a_material(name="Quick compound", supplier=seller)
    (delivery_id,) = expect_delivery(
        material_id=powder.pk,
        amount=15 * KG,
        ordered_on=date(2026, 10, 1),
        expected_on=date(2026, 10, 5),
        **a_tap(),
    ).facts["delivery_ids"]

    assert deliveries_late(date(2026, 10, 5)) == []
    assert deliveries_late(TUESDAY) == [
        Condition(
            cause=f"late delivery {delivery_id}",
            kind="delivery",
            text="15.00 kg Quick compound from Mudlark Minerals was expected Mon 5 Oct and is not in.",
            link="/stores/placed/",
        )
    ]
    put_off_delivery(delivery_id=delivery_id, expected_on=date(2026, 10, 9), **a_tap())
    assert deliveries_late(TUESDAY) == []


def test_what_stands_open_too_long_is_a_condition_until_the_tub_is_empty():
    powder = a_material(name="Quick compound", opened_life_days=90)
    tub = a_filled_tub(2 * KG, powder, code="Q2", opened_at=MONDAY, tare_mg=KG)
    a_filled_tub(2 * KG, powder, code="B4")
    a_filled_tub(2 * KG, a_material(), code="Q3", opened_at=MONDAY)
    over = MONDAY + timedelta(days=90)

    assert opened_lives_over(over) == []
    assert opened_lives_over(over + timedelta(minutes=1)) == [
        Condition(
            cause=f"opened life {tub.pk}",
            kind="opened life",
            text="Q2, Quick compound: its opened life is over since 3 Jan 2027, and it holds 2.00 kg."
            " Sieve what comes out, or note it as too old.",
            link="/stores/tubs/Q2/",
        )
    ]
    count_container(container_id=tub.pk, gross_mg=KG, reason="not known", **a_tap())
    assert opened_lives_over(over + timedelta(minutes=1)) == []
