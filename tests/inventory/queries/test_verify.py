"""Whether the ledger agrees with itself: every fault that something behind the app's back can make."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.db import connection
from django.db.models import F

from inventory import triggers
from inventory.arithmetic.recount import BelowZero, HoldingFault, LotFault, PostingFault, ReceiptFault
from inventory.models import Act, Container, Entry, Holding, Lot, Posting
from inventory.operations.counting import count_container
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_from
from inventory.operations.receiving import receive_lot
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from inventory.queries.verify import verify_ledger
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tap, a_tub, in_an_act

pytestmark = pytest.mark.django_db


@pytest.fixture
def used_tub(db):
    powder = a_material()
    bulk = a_filled_tub(10 * KG, powder, code="B4")
    working = a_tub(powder, code="Q2", role="working")
    decant(source_id=bulk.pk, target_id=working.pk, amount=4 * KG, lumps=100_000, **a_tap())
    with in_an_act() as tap:
        draw_from(tap, working.pk, 3 * KG, "mix")
    count_container(container_id=bulk.pk, gross_mg=6_800_000, reason="scale", **a_tap())
    spilled = note_spill(container_id=working.pk, amount=KG // 2, **a_tap())
    UNDO["inventory.note_spill"](act_id=spilled.act_id, **a_tap())
    return bulk


@pytest.fixture
def unguarded(db):
    """The triggers down, as on a database somebody has been at with other tools."""
    triggers.remove(connection)
    yield
    triggers.install(connection)


def test_a_sound_ledger_has_no_faults(used_tub, django_assert_num_queries):
    with django_assert_num_queries(7):
        found = verify_ledger()

    assert found.faults == ()
    assert (found.postings, found.entries, found.lots, found.holdings) == (7, 7, 1, 2)


def test_the_number_of_queries_does_not_grow(used_tub, django_assert_num_queries):
    for _ in range(5):
        a_filled_tub(KG)

    with django_assert_num_queries(7):
        verify_ledger()


def test_a_holding_changed_behind_the_ledger_is_named_and_so_is_its_lot(used_tub):
    lot = used_tub.place.holdings.get().lot
    Holding.objects.filter(place=used_tub.place).update(amount=F("amount") + 1)

    faults = verify_ledger().faults

    assert faults == (
        HoldingFault(lot.code, "B4", 5_800_001, 5_800_000),
        LotFault(
            lot.code, received=10 * KG, held=6_800_001, used=3 * KG, wasted=100_000, differences=100_000
        ),
    )
    assert str(faults[0]) == (f"B4 holds 5800001 of lot {lot.code} by its holding, 5800000 by the entries")
    assert "received 10000000, but held 6800001 + used 3000000" in str(faults[1])


def test_a_holding_that_is_gone_counts_as_nothing(used_tub):
    Holding.objects.filter(place=used_tub.place).delete()

    (fault, *_) = verify_ledger().faults

    assert isinstance(fault, HoldingFault)
    assert fault.holding == 0


def test_a_holding_at_an_outside_place_is_named(used_tub):
    lot = used_tub.place.holdings.get().lot
    Holding.objects.create(lot=lot, place=Entry.objects.first().source, amount=5)

    assert str(verify_ledger().faults[0]).startswith("an outside place holds 5 of lot")


def a_changed_amount(tub: Container) -> str:
    Entry.objects.filter(posting__kind="draw").update(amount=F("amount") + 1)
    return "Q2 holds 1000000 of lot"


def a_removed_entry(tub: Container) -> str:
    Entry.objects.filter(posting__kind="sieve loss").delete()
    return "B4 holds 5800000 of lot"


def a_reversal_that_is_not_exact(tub: Container) -> str:
    reversing = Posting.objects.get(reverses__isnull=False)
    Entry.objects.filter(posting=reversing).update(amount=F("amount") - 1)
    Holding.objects.filter(place__container__code="Q2").update(amount=F("amount") - 1)
    return f"posting {reversing.pk} reverses posting {reversing.reverses_id}, but not exactly"


def a_reversal_of_a_reversal(tub: Container) -> str:
    reversing = Posting.objects.get(reverses__isnull=False)
    last = Posting.objects.create(
        kind="correction",
        happened_at=MONDAY,
        recorded_at=MONDAY,
        request_key=reversing.request_key,
        reverses=reversing,
    )
    entry = reversing.entries.get()
    Entry.objects.create(
        posting=last,
        lot=entry.lot,
        source=entry.destination,
        destination=entry.source,
        amount=entry.amount,
    )
    Holding.objects.filter(place=entry.destination).update(amount=F("amount") - entry.amount)
    return f"posting {last.pk} reverses posting {reversing.pk}, itself a reversal"


def a_posting_without_entries(tub: Container) -> str:
    key = Act.objects.first().request_key
    empty = Posting.objects.create(kind="draw", happened_at=MONDAY, recorded_at=MONDAY, request_key=key)
    return f"posting {empty.pk} moves nothing"


def a_posting_without_an_act(tub: Container) -> str:
    draw = Posting.objects.get(kind="draw")
    Posting.objects.filter(pk=draw.pk).update(request_key=uuid4())
    return f"posting {draw.pk} belongs to no act: nobody did it"


def a_lot_that_says_more_came_in(tub: Container) -> str:
    Lot.objects.update(amount=11 * KG)
    return f"lot {Lot.objects.get().code} says 11000000 came in, the entries say 10000000"


def a_tub_of_another_material(tub: Container) -> str:
    Container.objects.filter(pk=tub.pk).update(material=a_material())
    receipt = Posting.objects.get(kind="receipt")
    return f"posting {receipt.pk} has lot {Lot.objects.get().code} in B4, a tub of another material"


@pytest.mark.parametrize(
    "spoil",
    [
        a_changed_amount,
        a_removed_entry,
        a_reversal_that_is_not_exact,
        a_reversal_of_a_reversal,
        a_posting_without_entries,
        a_posting_without_an_act,
        a_lot_that_says_more_came_in,
        a_tub_of_another_material,
    ],
)
def test_whatever_is_spoiled_is_named_first(used_tub, unguarded, spoil: Callable[[Container], str]):
    sentence = spoil(used_tub)

    assert str(verify_ledger().faults[0]).startswith(sentence)


def test_a_holding_that_was_below_zero_on_the_way_is_named_though_it_agrees_now(used_tub, unguarded):
    """The receipt is written after the draw: in the end everything adds up."""
    receipt = Posting.objects.get(kind="receipt")
    first_use = Posting.objects.get(kind="decant")
    entry = receipt.entries.get()
    last = Posting.objects.create(
        kind="receipt", happened_at=MONDAY, recorded_at=MONDAY, request_key=receipt.request_key
    )
    Entry.objects.filter(pk=entry.pk).delete()
    Posting.objects.filter(pk=receipt.pk).delete()
    Entry.objects.create(
        posting=last, lot=entry.lot, source=entry.source, destination=entry.destination, amount=entry.amount
    )

    faults = verify_ledger().faults

    assert faults[0] == BelowZero(entry.lot.code, "B4", first_use.pk, -4 * KG)
    assert {type(fault) for fault in faults} == {BelowZero}


def test_a_receipt_that_was_taken_back_leaves_no_fault(used_tub):
    """Nothing of the lot came in, although the lot says how much it was."""
    taken_in = receive_lot(
        material_id=used_tub.material_id,
        amount=KG,
        received_on=MONDAY.date(),
        container_id=used_tub.pk,
        **a_tap(),
    )
    UNDO["inventory.receive_lot"](act_id=taken_in.act_id, **a_tap())

    assert verify_ledger().faults == ()


def test_the_kinds_of_fault_say_themselves_in_figures():
    assert str(ReceiptFault("L1", 5, 4)) == "lot L1 says 5 came in, the entries say 4"
    assert str(BelowZero("L1", "B4", 7, -5)) == "B4 held -5 of lot L1 after posting 7"
    assert str(PostingFault(7, "moves nothing")) == "posting 7 moves nothing"
