"""How every act is done: once, in one transaction, with a line in the history."""

from __future__ import annotations

import threading
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction

from inventory.errors import NothingToUndo, RequestKeyReused, StudioBusy, StudioError
from inventory.models import Act
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.spilling import note_spill
from inventory.operations.tubs import lock_tubs
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_tap, acts_done, held
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


@act("inventory.try_out")
def try_out(tap: Tap, *, amount, offer=None) -> Done:
    """An act that refuses what is above ten."""
    if amount > 10:
        raise StudioError("Ten at most.", amount=amount)
    return Done(f"{amount} at {tap.happened_at:%H:%M}.", {"amount": amount})


@act("inventory.take_back", undoes="act_id")
def take_back(tap: Tap, *, act_id) -> Done:
    """The undo of `try_out`."""
    act_to_undo(act_id, "inventory.try_out")
    return Done("Taken back.")


def test_an_act_is_recorded_with_what_it_said_and_both_times(owner):
    earlier = MONDAY - timedelta(minutes=20)

    done = try_out(amount=3, **a_tap(by=owner.pk, happened_at=earlier))

    record = Act.objects.get(pk=done.act_id)
    assert (record.name, record.said, record.answer, record.by) == (
        "inventory.try_out",
        "3 at 07:40.",
        {"amount": 3},
        owner,
    )
    assert (record.happened_at, record.recorded_at) == (earlier, MONDAY)


def test_the_same_key_and_content_answers_the_first_time():
    key = uuid4()
    first = try_out(amount=3, **a_tap(key))

    again = try_out(amount=3, **a_tap(key, now=MONDAY + timedelta(hours=1)))

    assert (again.said, again.facts, again.act_id, again.again) == (
        first.said,
        {"amount": 3},
        first.act_id,
        True,
    )


def test_a_function_passed_in_is_no_part_of_the_content():
    key = uuid4()
    first = try_out(amount=3, offer=print, **a_tap(key))

    assert try_out(amount=3, offer=repr, **a_tap(key)).act_id == first.act_id


def test_the_same_key_with_other_content_or_for_another_act_is_refused():
    key = uuid4()
    done = try_out(amount=3, **a_tap(key))

    with pytest.raises(RequestKeyReused, match="answered before with other entries"):
        try_out(amount=4, **a_tap(key))
    with pytest.raises(RequestKeyReused):
        take_back(act_id=done.act_id, **a_tap(key))
    assert acts_done().count() == 1


def test_a_refused_act_leaves_the_key_unused():
    key = uuid4()
    with pytest.raises(StudioError, match="Ten at most"):
        try_out(amount=11, **a_tap(key))

    assert try_out(amount=3, **a_tap(key)).again is False


def test_a_time_to_come_is_refused():
    with pytest.raises(StudioError, match="That time has not come yet"):
        try_out(amount=3, **a_tap(happened_at=MONDAY + timedelta(minutes=1)))
    assert not acts_done().exists()


def test_an_act_is_undone_once():
    done = try_out(amount=3, **a_tap())
    undone = take_back(act_id=done.act_id, **a_tap())

    assert Act.objects.get(pk=undone.act_id).undoes_id == done.act_id
    with pytest.raises(NothingToUndo, match="undone before"):
        take_back(act_id=done.act_id, **a_tap())
    with pytest.raises(NothingToUndo, match="nothing to undo"):
        act_to_undo(undone.act_id, "inventory.try_out")


@pytest.mark.django_db(transaction=True)
def test_the_same_tap_from_many_hands_is_done_once():
    from inventory.operations.spilling import note_spill

    tub, key = a_filled_tub(10 * KG), uuid4()

    answers = at_once(*[lambda: note_spill(container_id=tub.pk, amount=KG, **a_tap(key))] * 6)

    assert {answer.act_id for answer in answers} == {acts_done().get().pk}
    assert [answer.again for answer in answers].count(False) == 1
    assert held(tub) == 9 * KG


@pytest.mark.django_db(transaction=True)
def test_a_tap_while_others_hold_the_database_is_told_so_and_counts_when_it_comes_again():
    tub, key = a_filled_tub(2 * KG), uuid4()
    is_held, let_go = threading.Event(), threading.Event()

    def hold() -> None:
        with transaction.atomic():
            lock_tubs([tub.pk])
            is_held.set()
            let_go.wait(timeout=30)
        connection.close()

    other = threading.Thread(target=hold)
    other.start()
    assert is_held.wait(timeout=30)
    wait = "SET lock_timeout = '50ms'" if connection.vendor == "postgresql" else "PRAGMA busy_timeout = 50"
    with connection.cursor() as cursor:
        cursor.execute(wait)
    try:
        with pytest.raises(StudioBusy, match="nothing was kept. Tap again."):
            note_spill(container_id=tub.pk, amount=KG, **a_tap(key))
        assert held(tub) == 2 * KG
    finally:
        let_go.set()
        other.join(timeout=30)

    note_spill(container_id=tub.pk, amount=KG, **a_tap(key))
    assert held(tub) == KG
    connection.close()
