"""Pieces that leave, and come back when a shipment is undone."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import transaction

from production.errors import PieceHasLeft, StepNotDue
from production.models import Piece
from production.operations.leaving import ship_pieces, unship_pieces
from tests.factories.inventory import MONDAY
from tests.factories.production import a_route, minutes, pieces_of, pots

pytestmark = pytest.mark.django_db

READY = MONDAY + minutes(70) + timedelta(hours=24)


def ship(pieces, at=READY):
    with transaction.atomic():
        ship_pieces([piece.pk for piece in pieces], happened_at=at)


def test_all_pieces_of_the_box_leave_together():
    pieces = pieces_of(pots())

    ship(pieces)

    assert {piece.shipped_at for piece in Piece.objects.all()} == {READY}


def test_a_piece_that_left_does_not_leave_again_and_nothing_changes():
    one, other = pieces_of(pots())
    ship([one])

    with pytest.raises(PieceHasLeft) as refused:
        ship([one, other], READY + minutes(5))

    assert refused.value.facts["mark"] == one.mark
    other.refresh_from_db()
    assert other.shipped_at is None


def test_a_piece_that_is_not_dry_stays():
    pieces = pieces_of(pots())

    with pytest.raises(StepNotDue):
        ship(pieces, READY - minutes(1))


def test_a_piece_that_still_wants_a_coat_stays():
    pieces = pieces_of(pots(route=a_route({"wait_minutes": None})))

    with pytest.raises(StepNotDue) as refused:
        ship(pieces)

    assert refused.value.message == f"{pieces[0].mark} is not ready: it still wants hands."


def test_scrap_is_not_shipped():
    pieces = pieces_of(pots())
    Piece.objects.update(outcome="scrap")

    with pytest.raises(StepNotDue):
        ship(pieces)


def test_an_undone_shipment_brings_them_back():
    pieces = pieces_of(pots())
    ship(pieces)

    with transaction.atomic():
        unship_pieces([piece.pk for piece in pieces])

    assert {piece.shipped_at for piece in Piece.objects.all()} == {None}
