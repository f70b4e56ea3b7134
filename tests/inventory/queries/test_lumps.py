"""What the sieve kept, tub by tub."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest

from inventory.models import SupplierPack
from inventory.operations.decanting import decant
from inventory.operations.undoing import UNDO
from inventory.queries.lumps import lumps_since
from tests.factories.inventory import KG, MONDAY, a_material, a_supplier, a_tap, a_tub, fill

pytestmark = pytest.mark.django_db
SINCE = date(2026, 9, 1)


@pytest.fixture
def opened(db):
    """A 25 kg tub for 40.00 decanted twice, the second time with lumps; a working tub."""
    powder = a_material(name="Quick compound")
    bulk = a_tub(powder, code="B4", capacity=25 * KG)
    working = a_tub(powder, code="Q2", role="working")
    fill(bulk, 20 * KG, price_minor=32_00)
    for days, lumps in ((0, 0), (40, 400_000)):
        later = a_tap(now=MONDAY + timedelta(days=days))
        decant(source_id=bulk.pk, target_id=working.pk, amount=5 * KG - lumps, lumps=lumps, **later)
    return {"powder": powder, "bulk": bulk, "working": working}


def test_every_opening_has_its_age_its_number_and_what_was_lost(opened, django_assert_num_queries):
    with django_assert_num_queries(7):
        (powder,) = lumps_since(SINCE)

    assert [(one.tub, one.age_days, one.number, one.out, one.lumps) for one in powder.openings] == [
        ("B4", 0, 1, 5 * KG, 0),
        ("B4", 40, 2, 5 * KG, 400_000),
    ]
    (size,) = powder.sizes
    assert (size.capacity, size.bought_minor, size.lost) == (25 * KG, 160, Fraction(1, 25))
    assert powder.verdict is None


def test_a_decant_that_was_undone_is_none(opened):
    done = decant(source_id=opened["bulk"].pk, target_id=opened["working"].pk, amount=KG, **a_tap())
    UNDO["inventory.decant"](act_id=done.act_id, **a_tap())

    assert len(lumps_since(SINCE)[0].openings) == 2


def test_a_smaller_tub_is_compared_by_what_was_paid_and_lost(opened):
    small = a_tub(opened["powder"], code="B5", capacity=5 * KG)
    fill(small, 5 * KG, price_minor=9_50)
    decant(source_id=small.pk, target_id=opened["working"].pk, amount=2 * KG, **a_tap())

    verdict = lumps_since(SINCE)[0].verdict

    assert verdict is not None
    assert (verdict.big.used_minor, verdict.small.used_minor) == (Fraction(500, 3), 190)


def test_a_pack_that_was_never_bought_is_compared_by_its_price(opened):
    SupplierPack.objects.create(
        supplier=a_supplier(), material=opened["powder"], amount=5 * KG, price_minor=8_00
    )

    verdict = lumps_since(SINCE)[0].verdict

    assert verdict is not None
    assert (verdict.small.is_known, verdict.small.used_minor) == (False, 160)
    assert verdict.saves_minor < 0


def test_what_came_before_the_time_asked_for_is_left_out(opened):
    assert lumps_since(date(2027, 1, 1)) == []
