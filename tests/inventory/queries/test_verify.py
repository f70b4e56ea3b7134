"""Whether the ledger agrees with itself."""

from __future__ import annotations

import pytest
from django.db.models import F

from inventory.models import Holding
from inventory.operations.counting import count_container
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_from
from inventory.queries.verify import HoldingFault, LotFault, verify_ledger
from tests.factories.inventory import KG, a_filled_tub, a_material, a_tap, a_tap_of, a_tub

pytestmark = pytest.mark.django_db


@pytest.fixture
def used_tub(db):
    powder = a_material()
    bulk = a_filled_tub(10 * KG, powder, code="B4")
    working = a_tub(powder, code="Q2", role="working")
    decant(source_id=bulk.pk, target_id=working.pk, amount=4 * KG, lumps=100_000, **a_tap())
    draw_from(a_tap_of(), working.pk, 3 * KG, "mix")
    count_container(container_id=bulk.pk, gross_mg=6_800_000, reason="scale", **a_tap())
    return bulk


def test_a_sound_ledger_has_no_faults(used_tub, django_assert_num_queries):
    with django_assert_num_queries(6):
        faults = verify_ledger()

    assert faults == []


def test_a_holding_changed_behind_the_ledger_is_named_and_so_is_its_lot(used_tub):
    lot = used_tub.place.holdings.get().lot
    Holding.objects.filter(place=used_tub.place).update(amount=F("amount") + 1)

    faults = verify_ledger()

    assert faults == [
        HoldingFault(lot.code, "B4", 5_800_001, 5_800_000),
        LotFault(
            lot.code, received=10 * KG, held=6_800_001, used=3 * KG, wasted=100_000, differences=100_000
        ),
    ]
    assert str(faults[0]) == (f"B4 holds 5800001 of lot {lot.code} by its holding, 5800000 by the entries")
    assert "received 10000000, but held 6800001 + used 3000000" in str(faults[1])


def test_a_holding_that_is_gone_counts_as_nothing(used_tub):
    Holding.objects.filter(place=used_tub.place).delete()

    assert verify_ledger()[0].holding == 0
