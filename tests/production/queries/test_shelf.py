"""The boards of the shelf."""

from __future__ import annotations

from datetime import timedelta

import pytest

from production.models import Piece
from production.operations.finishing import finish_step
from production.queries.shelf import piece_with_mark, shelf_now
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import a_planned_mix, a_route, minutes, pieces_of, pots

pytestmark = pytest.mark.django_db

DRY = MONDAY + minutes(70) + timedelta(hours=24)


def boards(now, kept=None):
    found = shelf_now(now=now, kept_for=lambda ids: kept or {})
    names = ("wants_hands", "drying", "coated", "curing", "ready")
    return {name: [len(row.pieces) for row in getattr(found, name)] for name in names if getattr(found, name)}


@pytest.fixture
def route():
    return a_route(
        {"wait_minutes": None},
        {"wait_minutes": 600},
        {"kind": "cure", "name": "cure", "wait_minutes": 1440, "minutes_each": 0},
    )


def test_pieces_move_from_board_to_board(route):
    pieces = pieces_of(pots(route=route))
    coat_1, coat_2, _ = route.steps.all()
    ids = [piece.pk for piece in pieces]

    assert boards(DRY - minutes(1)) == {"drying": [2]}
    assert boards(DRY) == {"wants_hands": [2]}
    finish_step(**a_tap(now=DRY), piece_ids=ids, step_id=coat_1.pk)
    assert boards(DRY + minutes(1)) == {"coated": [2]}
    assert boards(DRY + minutes(600)) == {"wants_hands": [2]}
    finish_step(**a_tap(now=DRY + minutes(600)), piece_ids=ids, step_id=coat_2.pk)
    assert boards(DRY + minutes(601)) == {"curing": [2]}
    assert boards(DRY + minutes(600 + 1440)) == {"ready": [2]}


def test_pieces_of_two_mixes_stand_in_two_rows(route):
    planned = pots(route=route, copies=4)
    article = planned.casts.first().part.article
    pieces_of(planned)
    pieces_of(a_planned_mix(article, planned.colour), MONDAY + minutes(5))

    assert boards(DRY) == {"wants_hands": [2], "drying": [1]}


def test_a_piece_that_had_its_coat_alone_stands_alone(route):
    pieces = pieces_of(pots(route=route))

    finish_step(**a_tap(now=DRY), piece_ids=[pieces[0].pk], step_id=route.steps.first().pk)

    assert boards(DRY) == {"wants_hands": [1], "coated": [1]}


def test_ready_pieces_stand_order_by_order_and_the_free_ones_after():
    one, two, free = pieces_of(pots(pieces=3, copies=3))

    found = shelf_now(now=DRY, kept_for=lambda ids: {one.pk: "1041", two.pk: "1041"})

    assert [(row.number, len(row.pieces)) for row in found.ready] == [("1041", 2), ("", 1)]


def test_a_row_says_whom_it_is_for(route):
    pieces = pieces_of(pots(route=route))

    kept = shelf_now(now=DRY, kept_for=lambda ids: {pieces[0].pk: "1041"}).wants_hands[0].for_words
    planned_for = shelf_now(now=DRY, kept_for=lambda ids: {}).wants_hands[0].for_words

    assert kept == "1041, 1045"
    assert planned_for == "1045"


def test_seconds_are_kept_apart(route):
    pieces = pieces_of(pots(route=route))
    Piece.objects.filter(pk=pieces[0].pk).update(outcome="second")

    rows = shelf_now(now=DRY, kept_for=lambda ids: {}).wants_hands

    assert sorted(row.for_words for row in rows) == ["1045", "seconds"]


def test_a_piece_is_found_by_its_mark_while_it_is_here():
    (piece,) = pieces_of(pots(pieces=1))

    assert piece_with_mark(piece.mark, now=DRY).id == piece.pk
    Piece.objects.update(shipped_at=DRY)
    assert piece_with_mark(piece.mark, now=DRY) is None


def test_an_empty_shelf_says_so():
    assert shelf_now(now=DRY, kept_for=lambda ids: {}).is_empty is True


def test_the_number_of_queries_does_not_grow(django_assert_max_num_queries, route):
    pieces_of(pots(pieces=1, route=route))
    with django_assert_max_num_queries(7) as counted:
        shelf_now(now=DRY, kept_for=lambda ids: {})
    once = len(counted.captured_queries)
    pieces_of(pots(pieces=4, copies=4, route=route))

    with django_assert_max_num_queries(once):
        shelf_now(now=DRY, kept_for=lambda ids: {})
