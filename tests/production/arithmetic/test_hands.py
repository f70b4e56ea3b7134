"""The queue of the Bench and its next free minute. Expected times worked out by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from production.arithmetic.hands import in_turn

NINE = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


def at(minutes):
    return NINE + timedelta(minutes=minutes)


def test_nothing_due_leaves_the_hands_free():
    found = in_turn([], now=NINE, pairs=1)

    assert (found.turns, found.free_at, found.free_until) == ((), NINE, None)


def test_one_pair_does_one_after_the_other_by_when_they_fell_due():
    found = in_turn([(at(-10), 6), (at(-20), 8), (at(30), 5)], now=NINE, pairs=1)

    assert [(turn.place, turn.starts_at) for turn in found.turns] == [(1, NINE), (0, at(8)), (2, at(30))]
    assert (found.free_at, found.free_until) == (at(14), at(30))


def test_two_pairs_do_two_at_once_and_one_is_free_sooner():
    found = in_turn([(at(-10), 6), (at(-20), 8), (at(2), 5)], now=NINE, pairs=2)

    assert [turn.starts_at for turn in found.turns] == [NINE, NINE, at(6)]
    assert (found.free_at, found.free_until) == (at(8), None)


def test_hands_at_a_mix_that_sets_come_to_the_queue_when_it_is_poured():
    found = in_turn([(NINE, 5)], now=NINE, pairs=1, busy_until=[at(12)])

    assert found.turns[0].starts_at == at(12)
    assert found.free_at == at(17)


def test_two_mixes_at_once_with_one_pair_noted_still_make_a_queue():
    assert in_turn([(NINE, 5)], now=NINE, pairs=1, busy_until=[at(3), at(12)]).free_at == at(17)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(-60, 120), st.integers(0, 40)), max_size=12), st.integers(1, 3))
def test_no_more_hands_than_there_are_and_nothing_before_its_time(dues, pairs):
    found = in_turn([(at(due), minutes) for due, minutes in dues], now=NINE, pairs=pairs)

    assert sorted(turn.place for turn in found.turns) == list(range(len(dues)))
    for turn in found.turns:
        assert turn.starts_at >= max(NINE, at(dues[turn.place][0]))
        over_it = [one for one in found.turns if one.starts_at <= turn.starts_at < one.ends_at]
        assert len(over_it) <= pairs
