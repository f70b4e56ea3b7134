"""Room in one mix, by hand for trays of 100 ml (200 g), 2 minutes to fill, 12 minutes of working time."""

import pytest

from production.planning.prepare import prepare
from production.planning.rooms import Rooms, with_pieces
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem


def rooms_of(copies, **compound):
    problem = a_problem(
        a_line("1", quantity=9), moulds=(a_mould(copies=copies),), compounds=(a_compound(**compound),)
    )
    return Rooms(prepare(problem))


def test_copies_bound_a_mix():
    assert rooms_of(copies=2).most_more(0, (), 0) == 2
    assert rooms_of(copies=2).most_more(0, ((0, 1),), 0) == 1


def test_working_time_bounds_a_mix():
    # 12 minutes hold 6 fills of 2 minutes.
    assert rooms_of(copies=9).most_more(0, ((0, 4),), 0) == 2


def test_the_jug_bounds_a_mix():
    # 1050 g less 50 g residue hold 5 of 200 g.
    assert rooms_of(copies=9, jug_g=1050).most_more(0, (), 0) == 5


def test_copies_in_use_elsewhere_are_not_there():
    assert rooms_of(copies=9).most_more(0, ((0, 1),), 0, free=lambda mould: 3) == 2


def test_fullness_is_that_of_the_room_that_is_fuller():
    # 3 of 6 fills, 600 g of 1950 g; then 600 g of 750 g.
    assert rooms_of(copies=9).fullness(0, ((0, 3),)) == pytest.approx(0.5)
    assert rooms_of(copies=9, jug_g=800).fullness(0, ((0, 3),)) == pytest.approx(0.8)


def test_pieces_are_added_and_taken_away_in_the_order_of_filling():
    assert with_pieces(((4, 1), (7, 2)), 7, 3) == ((4, 1), (7, 5))
    assert with_pieces(((4, 1), (7, 2)), 4, -1) == ((7, 2),)
    assert with_pieces(((4, 1),), 2, 2) == ((4, 1), (2, 2))
