"""Taking back what was done in the stores (each act's own undo is tested beside the act)."""

from __future__ import annotations

from uuid import uuid4

import pytest

from inventory.errors import NothingToUndo
from inventory.models import Act, Posting
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from tests.factories.inventory import KG, a_filled_tub, a_tap, held
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def test_undo_adds_a_posting_and_takes_none_away():
    tub = a_filled_tub(2 * KG)
    done = note_spill(container_id=tub.pk, amount=KG, **a_tap())
    before = Posting.objects.count()

    undone = UNDO["inventory.note_spill"](act_id=done.act_id, **a_tap())

    assert Posting.objects.count() == before + 1
    assert Act.objects.get(pk=undone.act_id).undoes_id == done.act_id


def test_the_same_tap_on_undo_answers_the_first_sentence():
    tub, key = a_filled_tub(2 * KG), uuid4()
    done = note_spill(container_id=tub.pk, amount=KG, **a_tap())

    first = UNDO["inventory.note_spill"](act_id=done.act_id, **a_tap(key))
    again = UNDO["inventory.note_spill"](act_id=done.act_id, **a_tap(key))

    assert (again.said, again.again) == (first.said, True)
    assert held(tub) == 2 * KG


def test_an_unknown_act_an_undo_and_an_act_of_another_kind_are_refused():
    tub = a_filled_tub(2 * KG)
    done = note_spill(container_id=tub.pk, amount=KG, **a_tap())
    undone = UNDO["inventory.note_spill"](act_id=done.act_id, **a_tap())
    standing = note_spill(container_id=tub.pk, amount=KG, **a_tap())

    for act_id, undo in [
        (987_654, "inventory.note_spill"),
        (undone.act_id, "inventory.note_spill"),
        (standing.act_id, "inventory.receive_lot"),
        (standing.act_id, "inventory.make_tub"),
    ]:
        with pytest.raises(NothingToUndo, match="nothing to undo"):
            UNDO[undo](act_id=act_id, **a_tap())
    assert held(tub) == 1 * KG


@pytest.mark.django_db(transaction=True)
def test_two_undos_at_once_undo_once():
    tub = a_filled_tub(2 * KG)
    done = note_spill(container_id=tub.pk, amount=KG, **a_tap())

    answers = at_once(*[lambda: UNDO["inventory.note_spill"](act_id=done.act_id, **a_tap())] * 2)

    assert sorted(type(answer).__name__ for answer in answers) == ["Done", "NothingToUndo"]
    assert held(tub) == 2 * KG
