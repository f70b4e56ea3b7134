"""The worked sums of a decant (its refusals are tested at the act itself)."""

from __future__ import annotations

import pytest

from inventory.queries.decant_sums import DecantSums, Typed, decant_sums
from tests.factories.inventory import KG, a_material, a_tub

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material()
    return (
        a_tub(powder, code="B4", tare_mg=1_180_000),
        a_tub(powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG),
    )


def test_from_readings(tubs):
    source, target = tubs

    sums = decant_sums(
        source, 13_720_000, target, 5_310_000, Typed(before_mg=14_900_000, after_mg=5_530_000, lumps=60_000)
    )

    # The design's own sums: 14.90 less 5.53 is 9.37; less 0.06 is 9.31; 14.62 and 4.35 are held after.
    assert sums == DecantSums(
        out=9_370_000,
        lumps=60_000,
        into=9_310_000,
        source_will_hold=4_350_000,
        target_will_hold=14_620_000,
    )


def test_from_a_weight_the_lumps_come_on_top(tubs):
    source, target = tubs

    sums = decant_sums(source, 13_720_000, target, 0, Typed(amount=2 * KG, lumps=60_000))

    assert (sums.out, sums.into) == (2_060_000, 2 * KG)


def test_a_check_reading_that_agrees_within_a_hundredth_of_the_tub_passes(tubs):
    source, target = tubs
    right = 860_000 + 2 * KG

    sums = decant_sums(source, 13_720_000, target, 0, Typed(amount=2 * KG, target_after_mg=right + 150_000))

    assert sums.target_will_hold == 2 * KG
