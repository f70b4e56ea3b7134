"""What happened to a tub or a lot."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_from
from inventory.operations.receiving import receive_lot
from inventory.operations.undoing import UNDO
from inventory.queries.containers import lot_by_code
from inventory.queries.history import lot_moves, tub_history
from tests.factories.inventory import (
    KG,
    MONDAY,
    a_filled_tub,
    a_material,
    a_supplier,
    a_tap,
    a_tub,
    held,
    in_an_act,
)

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


def test_a_lot_has_the_facts_of_one_step_back_and_one_step_forward(owner, helper_user):
    """Source: ISO 22005:2007, one step back and one step forward (from memory): for any lot who supplied
    which lot, when, how much; and where it went, when, how much. GS1 Global Traceability Standard 2.0 (2017,
    from memory): each event answers who, what, where, when, why.
    """
    powder = a_material(name="Quick compound")
    tub = a_tub(powder, code="B4")
    done = receive_lot(
        material_id=powder.pk,
        amount=10 * KG,
        received_on=date(2026, 10, 5),
        container_id=tub.pk,
        supplier_id=a_supplier(name="Mudflat Minerals").pk,
        supplier_lot="ML-2609",
        **a_tap(by=owner.pk),
    )
    at_eleven = MONDAY + timedelta(hours=3)
    with in_an_act(by=helper_user.pk, happened_at=at_eleven, now=at_eleven) as tap:
        draw_from(tap, tub.pk, 2 * KG, "mix", reason="mix 312")

    lot = lot_by_code(done.facts["lot"])
    forward, back = lot_moves(lot.pk)[0]

    assert (lot.supplier.name, lot.supplier_lot, lot.received_on, lot.amount, lot.left) == (
        "Mudflat Minerals",
        "ML-2609",
        date(2026, 10, 5),
        10 * KG,
        8 * KG,
    )
    assert (back.by, back.amount, back.source, back.destination, back.happened_at, back.kind) == (
        "owner",
        10 * KG,
        "supplier",
        "B4",
        MONDAY,
        "receipt",
    )
    assert (forward.by, forward.amount, forward.source, forward.destination) == (
        "helper",
        2 * KG,
        "B4",
        "mix",
    )
    assert (forward.happened_at, forward.kind, forward.reason) == (at_eleven, "draw", "mix 312")
