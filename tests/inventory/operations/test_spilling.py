"""What went on the floor or into the bin."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.errors import NotEnoughInContainer, StudioError
from inventory.models import Entry
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_tap, held, ledger_size
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("reason", "place"), [("spill", "spill"), ("lumps", "waste"), ("too old", "waste")])
def test_takes_it_out_of_the_tub_to_where_it_went(reason, place):
    tub = a_filled_tub(2 * KG, code="B4")

    done = note_spill(container_id=tub.pk, amount=500_000, reason=reason, **a_tap())

    assert done.said == f"500 g out of B4 ({reason}). It holds 1.50 kg."
    assert held(tub) == 1_500_000
    assert Entry.objects.get(posting__kind="spill").destination.kind == place


@pytest.mark.parametrize(
    ("typed", "refusal", "sentence", "field"),
    [
        ({"amount": 3 * KG}, NotEnoughInContainer, "holds 2.00 kg, and 3.00 kg is asked for", "amount"),
        ({"amount": 0}, StudioError, "Nothing was lost", "amount"),
        ({"amount": 1, "reason": "a cat"}, StudioError, "Choose one of", "reason"),
    ],
)
def test_refuses_and_changes_nothing(typed, refusal, sentence, field):
    tub = a_filled_tub(2 * KG)
    before = ledger_size()

    with pytest.raises(refusal, match=sentence) as caught:
        note_spill(container_id=tub.pk, **typed, **a_tap())

    assert caught.value.facts["field"] == field
    assert (ledger_size(), held(tub)) == (before, 2 * KG)


def test_again_with_the_same_key_spills_once_and_undone_nothing_is_lost():
    tub, key = a_filled_tub(2 * KG), uuid4()

    done = note_spill(container_id=tub.pk, amount=KG, **a_tap(key))
    again = note_spill(container_id=tub.pk, amount=KG, **a_tap(key))
    assert (again.act_id, held(tub)) == (done.act_id, 1 * KG)

    UNDO["inventory.note_spill"](act_id=done.act_id, **a_tap())
    assert held(tub) == 2 * KG


def test_a_spill_out_of_a_shut_tub_opened_it_and_one_while_it_is_open_is_no_further_opening():
    tub = a_filled_tub(2 * KG)
    first = note_spill(container_id=tub.pk, amount=1000, **a_tap(now=MONDAY))
    note_spill(container_id=tub.pk, amount=1000, **a_tap(now=MONDAY + timedelta(minutes=5)))
    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (MONDAY, 1)

    UNDO["inventory.note_spill"](act_id=first.act_id, **a_tap())
    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (None, 0)


@pytest.mark.django_db(transaction=True)
def test_two_at_once_never_lose_more_than_is_there():
    tub = a_filled_tub(1 * KG)

    answers = at_once(*[lambda: note_spill(container_id=tub.pk, amount=700_000, **a_tap())] * 2)

    assert sorted(type(answer).__name__ for answer in answers) == ["Done", "NotEnoughInContainer"]
    assert held(tub) == 300_000
