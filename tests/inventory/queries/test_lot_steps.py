"""One step back and one step forward."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.operations.counting import count_container
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_from
from inventory.operations.receiving import receive_lot
from inventory.operations.undoing import UNDO
from inventory.queries.containers import lot_by_code
from inventory.queries.lot_steps import LotPart, lot_steps
from tests.factories.inventory import KG, MONDAY, a_material, a_tap, a_tap_of, a_tub

pytestmark = pytest.mark.django_db


@pytest.fixture
def taken_in(owner):
    """Ten kilograms in B4."""
    tub = a_tub(a_material(), code="B4")
    return receive_lot(
        material_id=tub.material_id,
        amount=10 * KG,
        received_on=date(2026, 10, 5),
        container_id=tub.pk,
        **a_tap(by=owner.pk),
    )


def test_the_parts_of_a_lot_add_up_to_what_came_in(taken_in, django_assert_num_queries):
    """Source: ISO 22005:2007, one step back and one step forward (from memory); conservation per lot."""
    bulk_id, lot = taken_in.facts["container_id"], lot_by_code(taken_in.facts["lot"])
    working = a_tub(lot.material, code="Q2", role="working")
    decant(source_id=bulk_id, target_id=working.pk, amount=3 * KG, lumps=100_000, **a_tap())
    draw_from(a_tap_of(), working.pk, 2 * KG, "mix", reason="mix 312")
    count_container(container_id=working.pk, gross_mg=KG + 1_200_000, reason="not known", **a_tap())

    with django_assert_num_queries(4):
        steps = lot_steps(lot)

    assert (steps.taken_in_by, steps.taken_in_at, steps.received) == ("owner", MONDAY, 10 * KG)
    assert steps.parts == (
        LotPart("", "B4", 6_900_000),
        LotPart("", "Q2", 1_200_000),
        LotPart("in mixes", "", 2 * KG),
        LotPart("lumps, or too old", "", 100_000),
        LotPart("missing when counted", "", -200_000),
    )
    assert sum(part.amount for part in steps.parts) == steps.received


def test_a_delivery_taken_back_left_nothing(taken_in):
    UNDO["inventory.receive_lot"](act_id=taken_in.act_id, **a_tap())

    steps = lot_steps(lot_by_code(taken_in.facts["lot"]))

    assert (steps.received, steps.parts) == (0, ())
