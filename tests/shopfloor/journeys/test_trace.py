"""From a piece, lot, tub, mix or order to everything it touched."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.models import Assignment
from production.models import MixDraw, Piece
from shopfloor.journeys.trace import trace
from tests.factories.inventory import MONDAY
from tests.factories.orders import an_order
from tests.factories.production import pieces_of, pots

pytestmark = pytest.mark.django_db


@pytest.fixture
def pieces() -> list[Piece]:
    """Two pots with saucers out of one mix."""
    return pieces_of(pots())


def test_a_piece_leads_to_its_mix_and_to_the_pieces_beside_it(pieces):
    found = trace(pieces[0].mark.lower())

    assert found.kind == "Piece"
    assert [piece.mark for piece in found.mixes[0].pieces] == [piece.mark for piece in pieces]


def test_lot_tub_and_mix_lead_to_the_same_mix(pieces):
    draw = MixDraw.objects.select_related("lot", "container", "mix").first()

    kinds = {}
    for code in (draw.lot.code, draw.container.code, str(draw.mix.number)):
        found = trace(code)
        kinds[found.kind] = [mix.number for mix in found.mixes]

    assert kinds == {kind: [draw.mix.number] for kind in ("Lot", "Tub", "Mix")}


def test_what_went_in_is_what_the_ledger_drew(pieces):
    (mix,) = trace(pieces[0].mark).mixes

    drawn = MixDraw.objects.values_list("lot__code", "amount")
    assert sorted((source.lot, source.amount) for source in mix.made_from) == sorted(drawn)


def test_a_lot_leads_to_whom_it_went_and_when(pieces):
    """Source: ISO 22005:2007, one step forward (from memory): to whom which lot went, when, how much."""
    draw = MixDraw.objects.select_related("lot", "mix").first()
    an_order((pieces[0].article, pieces[0].colour, 1), number="1044", customer="Plover Marsh")
    piece = Assignment.objects.get().piece
    shipped_at = MONDAY + timedelta(days=9)
    Piece.objects.filter(pk=piece.pk).update(shipped_at=shipped_at)

    found = trace(draw.lot.code)

    went = found.went_to[piece.pk]
    assert (went.number, went.customer, went.shipped_at) == ("1044", "Plover Marsh", shipped_at)
    made_from = {source.lot: source.amount for source in found.mixes[0].made_from}
    assert made_from[draw.lot.code] == draw.amount


def test_a_mark_with_one_slip_names_the_one_near_it(pieces):
    mark = pieces[0].mark
    slip = mark[:-1] + ("3" if mark[-1] != "3" else "4")

    found = trace(slip)

    assert found.mixes == ()
    assert mark in found.near


def test_the_page_says_what_was_not_found(signed_in, db):
    page = signed_in.get("/trace/?code=T3VQ").content.decode()

    assert "No piece, lot, tub, mix or order T3VQ" in page


def test_the_number_of_queries_does_not_grow(pieces, django_assert_max_num_queries):
    with django_assert_max_num_queries(10):
        trace(pieces[0].mark)
