"""The good pieces that are here."""

from __future__ import annotations

import pytest

from production.models import Piece
from production.queries.good_pieces import good_pieces_here, piece_words
from tests.factories.inventory import MONDAY
from tests.factories.orders import a_piece, a_range

pytestmark = pytest.mark.django_db


def test_only_good_pieces_that_are_here_count():
    made = a_range()
    good = a_piece(made.tray, made.rust, wanted_by="line:7")
    for fields in (
        {"outcome": "second"},
        {"outcome": "scrap"},
        {"shipped_at": MONDAY},
        {"undone_at": MONDAY},
    ):
        a_piece(made.tray, made.rust, **fields)

    (found,) = good_pieces_here()

    assert (found.id, found.mark, found.wanted_by) == (good.pk, good.mark, "line:7")
    assert (found.article_id, found.colour_id, found.ready_at) == (made.tray.pk, made.rust.pk, good.ready_at)


def test_only_the_pieces_asked_for_are_told_in_one_query(django_assert_num_queries):
    made = a_range()
    pieces = [a_piece(made.tray, made.rust) for _ in range(4)]

    with django_assert_num_queries(1):
        found = good_pieces_here([pieces[1].pk, pieces[2].pk])

    assert {one.id for one in found} == {pieces[1].pk, pieces[2].pk}


def test_a_piece_in_words():
    made = a_range()
    piece = a_piece(made.tray, made.rust)

    assert piece_words(piece.mark) == "a Ferry tray in Rust"
    made.tray.name = "Oyster tray"
    made.tray.save()
    assert piece_words(piece.mark) == "an Oyster tray in Rust"
    Piece.objects.update(undone_at=MONDAY)
    assert piece_words(piece.mark) == piece_words("ZZZZ") == ""
