"""What the database refuses of the ledger, round every operation (its triggers: test_triggers)."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Entry, Holding, Posting
from inventory.operations.ledger import outside, reverse
from tests.factories.inventory import KG, a_filled_tub, a_tap_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(db):
    a_filled_tub(KG)
    return Entry.objects.get()


@pytest.mark.parametrize("amount", [0, -1])
def test_an_entry_moves_more_than_nothing(entry, amount):
    with pytest.raises(IntegrityError), transaction.atomic():
        Entry.objects.create(
            posting=entry.posting,
            lot=entry.lot,
            source=entry.source,
            destination=entry.destination,
            amount=amount,
        )


def test_an_entry_moves_from_one_place_to_another(entry):
    with pytest.raises(IntegrityError), transaction.atomic():
        Entry.objects.create(
            posting=entry.posting, lot=entry.lot, source=entry.source, destination=entry.source, amount=1
        )


def test_a_posting_is_reversed_once(entry):
    reverse(a_tap_of(), entry.posting_id, reason="undone")
    again = Posting(
        kind="correction",
        happened_at=entry.posting.happened_at,
        recorded_at=entry.posting.recorded_at,
        request_key=entry.posting.request_key,
        reverses=entry.posting,
    )

    with pytest.raises(IntegrityError), transaction.atomic():
        again.save()


def test_a_lot_has_one_holding_in_a_place(entry):
    with pytest.raises(IntegrityError), transaction.atomic():
        Holding.objects.create(lot=entry.lot, place=entry.destination, amount=1)


def test_a_holding_is_never_below_zero(entry):
    with pytest.raises(IntegrityError), transaction.atomic():
        Holding.objects.create(lot=entry.lot, place=outside("waste"), amount=-1)
