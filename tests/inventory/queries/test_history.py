"""What happened to a tub or a lot."""

from __future__ import annotations

import pytest

from inventory.operations.decanting import decant
from inventory.operations.undoing import UNDO
from inventory.queries.history import lot_moves, tub_history
from tests.factories.inventory import KG, a_filled_tub, a_material, a_tap, a_tub, held

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material()
    bulk = a_filled_tub(10 * KG, powder, code="B4")
    working = a_tub(powder, code="Q2", role="working")
    done = decant(source_id=bulk.pk, target_id=working.pk, amount=2 * KG, lumps=50_000, **a_tap())
    return bulk, working, done


def test_each_posting_has_its_change_and_what_was_held_after(tubs, django_assert_num_queries):
    bulk, _, done = tubs
    holds = held(bulk)

    with django_assert_num_queries(5):
        history = tub_history(bulk.place_id, holds)

    assert [(row.kind, row.change, row.holds) for row in history.rows] == [
        ("sieve loss", -50_000, 7_950_000),
        ("decant", -2 * KG, 8 * KG),
        ("receipt", 10 * KG, 10 * KG),
    ]
    assert history.rows[1].said == done.said
    assert history.earlier_before is None


def test_what_was_undone_and_its_undoing_are_told_apart(tubs):
    bulk, working, done = tubs
    UNDO["inventory.decant"](act_id=done.act_id, **a_tap())

    rows = tub_history(working.place_id, held(working)).rows

    assert [(row.change, row.is_undone, row.is_undoing) for row in rows] == [
        (-2 * KG, False, True),
        (2 * KG, True, False),
    ]


def test_a_lot_is_followed_from_the_supplier_on(tubs, django_assert_num_queries):
    bulk, _, _ = tubs
    lot = bulk.place.holdings.get().lot

    with django_assert_num_queries(1):
        moves, earlier = lot_moves(lot.pk)

    assert [(move.source, move.destination, move.amount) for move in moves] == [
        ("B4", "waste", 50_000),
        ("B4", "Q2", 2 * KG),
        ("supplier", "B4", 10 * KG),
    ]
    assert earlier is None
