"""What a care card says of a piece."""

from __future__ import annotations

import pytest

from production.queries.care import care_facts
from tests.factories.orders import a_piece, a_range

pytestmark = pytest.mark.django_db


def test_a_filled_piece_tells_what_it_is_filled_with_and_the_wording_as_kept():
    made = a_range()
    piece = a_piece(made.cup, made.slate)

    (facts,) = care_facts([piece.pk])

    assert (facts.mark, facts.article, facts.colour, facts.is_candle) == (
        piece.mark,
        "Cockle tea-light cup, filled",
        "Slate",
        True,
    )
    (fill,) = facts.filled_with
    assert (fill.material, fill.amount, fill.unit) == ("Container wax", 62_000, "g")
    assert fill.hazard_wording == "Contains linalool. May irritate."


def test_a_plain_piece_has_the_studios_own_words_line_by_line():
    made = a_range()
    piece = a_piece(made.tray, made.rust)

    (facts,) = care_facts([piece.pk])

    assert facts.care == ("Wipe with a damp cloth.", "Not for food.")
    assert (facts.is_candle, facts.filled_with) == (False, ())


def test_the_words_for_its_finish_follow_those_for_the_article():
    made = a_range()
    made.tray.route.care = "Keep it indoors.\n\n"
    made.tray.route.save()
    piece = a_piece(made.tray, made.rust)

    (facts,) = care_facts([piece.pk])

    assert facts.care == ("Wipe with a damp cloth.", "Not for food.", "Keep it indoors.")


def test_many_pieces_take_as_few_queries_as_one(django_assert_num_queries):
    made = a_range()
    pieces = [a_piece(made.cup, made.slate).pk for _ in range(5)]

    with django_assert_num_queries(3):
        assert len(care_facts(pieces)) == 5
