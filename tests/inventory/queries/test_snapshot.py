"""One view of the tables while something long is read."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from inventory.operations.spilling import note_spill
from inventory.queries.holdings import held_by_container
from inventory.queries.snapshot import one_snapshot
from inventory.queries.verify import verify_ledger
from tests.factories.inventory import KG, a_filled_tub, a_tap


def in_another_thread(act) -> None:
    def run() -> None:
        act()
        connection.close()

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(timeout=30)
    assert not thread.is_alive()


@pytest.mark.django_db(transaction=True)
def test_what_is_posted_meanwhile_is_not_seen_and_does_not_wait():
    tub = a_filled_tub(KG)

    with one_snapshot():
        before = held_by_container()
        in_another_thread(lambda: note_spill(container_id=tub.pk, amount=1000, **a_tap()))
        during = held_by_container()

    assert before == during == {tub.pk: KG}
    assert held_by_container() == {tub.pk: KG - 1000}


@pytest.mark.django_db(transaction=True)
def test_the_ledger_is_verified_while_people_post():
    """A verifier that saw the entries before and the holdings after would call the ledger wrong."""
    tub = a_filled_tub(KG)
    stop = threading.Event()

    def spill() -> None:
        while not stop.is_set():
            note_spill(container_id=tub.pk, amount=1, **a_tap())
        connection.close()

    thread = threading.Thread(target=spill)
    thread.start()
    try:
        found = [verify_ledger()]
        # On a busy machine the first posting may take its time.
        while len(found) < 15 or (found[-1].entries == found[0].entries and len(found) < 3000):
            found.append(verify_ledger())
    finally:
        stop.set()
        thread.join(timeout=30)

    assert [one.faults for one in found] == [()] * len(found)
    assert found[-1].entries > found[0].entries


@pytest.mark.django_db
def test_inside_a_transaction_its_own_view_counts():
    tub = a_filled_tub(KG)

    with one_snapshot():
        note_spill(container_id=tub.pk, amount=1000, **a_tap())
        assert held_by_container() == {tub.pk: KG - 1000}
