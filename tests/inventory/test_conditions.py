"""What is worth a notice in the stores."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.conditions import Condition, low_materials
from tests.factories.inventory import KG, a_filled_tub, a_material, a_supplier

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
