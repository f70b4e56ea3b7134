"""Shares of a mix: no mix that can be made holds more than one, and they ask for as many mixes as can be."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.planning.mix_shares import Room, fullest_mix, room_of, shares_of_mix, simple_shares
from production.planning.prepare import prepare
from production.planning.problem import Part
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article


def two_kinds(**compound):
    """Six trays of 200 g and four tiles of 600 g from one jug, copies enough."""
    tile = an_article("Tile", parts=(Part("tile", "tile", 300, "Quick"),))
    return prepare(
        a_problem(
            a_line("1", quantity=6), a_line("2", article="Tile", quantity=4),
            articles=(an_article(), tile), moulds=(a_mould(copies=9), a_mould("tile", copies=9)),
            compounds=(a_compound(working_minutes=99, **compound),),
        )
    )  # fmt: skip


def test_pieces_of_which_two_fit_a_jug_take_half_a_mix_though_they_leave_room():
    problem = a_problem(a_line(quantity=7), compounds=(a_compound(jug_g=550),), moulds=(a_mould(copies=9),))

    # 500 g beside the residue, 200 g a piece: by weight alone a piece would be 0.4 of a mix.
    assert shares_of_mix(prepare(problem), 0) == {0: pytest.approx(1 / 2)}


def test_small_pieces_that_fill_up_a_jug_share_it_with_big_ones():
    # 1000 g: a tile of 600 g leaves room for two trays, five trays fill it alone. Four tiles take four
    # mixes, and the eight trays that fit beside them are more than there are.
    shares = shares_of_mix(two_kinds(jug_g=1050), 0)

    assert 4 * shares[1] + 6 * shares[0] == pytest.approx(4)


def test_no_mix_is_fuller_than_what_the_search_finds():
    rooms = st.lists(st.integers(1, 9), min_size=9, max_size=9)

    @settings(max_examples=30, deadline=None)
    @given(rooms, st.lists(st.integers(1, 5), min_size=3, max_size=3), st.tuples(*[st.floats(0, 1)] * 3))
    def holds(takes, pieces, worth):
        room = Room(
            (13, 11, 17), {n: tuple(takes[3 * n : 3 * n + 3]) for n in range(3)}, dict(enumerate(pieces))
        )
        fullest = fullest_mix(room, dict(enumerate(worth)))
        all_mixes = (
            sum(count * worth[n] for n, count in enumerate(counts))
            for counts in product(*(range(count + 1) for count in pieces))
            if all(
                sum(count * room.takes[n][place] for n, count in enumerate(counts)) <= room.holds[place]
                for place in range(3)
            )
        )

        assert sum(worth[n] * count for n, count in fullest.items()) == pytest.approx(max(all_mixes))

    holds()


def test_simple_shares_are_those_of_the_resource_that_asks_for_most_mixes():
    room = room_of(two_kinds(jug_g=1050), 0)

    # 3600 g of 1000 g; filling takes 20 of 99 minutes.
    assert simple_shares(room) == {0: pytest.approx(0.2), 1: pytest.approx(0.6)}
