"""A mix is moved with its effect known before; what cannot be says why, and where it first can."""

from dataclasses import replace

import pytest

from production.planning.calm import Keep
from production.planning.forms import plan_to_form, problem_from_form, problem_to_form
from production.planning.list_rule import ListRule
from production.planning.moving import (
    CLOSING,
    GONE,
    MOULD,
    NOBODY_IN,
    PAST,
    SUPPLY,
    TAKEN,
    CannotMove,
    Moved,
    try_move,
    windows_ready_for,
    with_pin,
)
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.problem import Pin, Problem, Receipt, Window
from production.planning.simulate import simulate
from tests.bench.load import a_load_form
from tests.production.planning.builders import DAY, a_compound, a_line, a_mould, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.test_calm import keep_of

RULE = ListRule(3 * DAY, 0, 0.0)
NINE = 9 * 60


def plan_in_hand(problem: Problem) -> Keep:
    return keep_of(simulate(prepare(problem), RULE))


def two_colours() -> Problem:
    """A Slate tray and a Fog tray, each in a mix of its own, with four copies."""
    return a_problem(
        a_line("slate", ship_by=8 * DAY + 1020),
        a_line("fog", colour="Fog", ship_by=8 * DAY + 1020),
        moulds=(a_mould(copies=4),),
    )


def test_a_mix_moved_later_has_less_to_spare_and_the_others_stay() -> None:
    problem = two_colours()
    keep = plan_in_hand(problem)
    mix = keep.mixes[0]

    moved = try_move(problem, keep, mix, mix.start + DAY)

    assert isinstance(moved, Moved)
    assert mix.start + DAY in [one.start for one in moved.run.mixes]
    [own] = moved.own
    assert own.packed_before is not None
    assert own.packed_after == own.packed_before + DAY
    assert (own.late_before, own.late_after) == (0, 0)
    assert moved.shifted == ()
    assert (moved.mixes_before, moved.mixes_after) == (2, 2)


def test_a_move_that_makes_a_line_late_says_by_how_many_days() -> None:
    problem = two_colours()
    keep = plan_in_hand(problem)

    moved = try_move(problem, keep, keep.mixes[0], 9 * DAY + NINE)

    assert isinstance(moved, Moved)
    # Poured on the tenth day, packed on the eleventh; it was to leave on the evening of the ninth.
    assert [(one.late_before, one.late_after) for one in moved.own] == [(0, 2)]


def test_hands_that_were_at_another_mix_do_that_one_after() -> None:
    problem = two_colours()
    keep = plan_in_hand(problem)
    first, second = sorted(keep.mixes, key=lambda mix: mix.start)

    moved = try_move(problem, keep, second, first.start)

    assert isinstance(moved, Moved)
    assert [(one.mix, one.start_before) for one in moved.shifted] == [(first, first.start)]
    assert moved.shifted[0].start_after > first.start


@pytest.mark.parametrize(
    ("minute", "reason"),
    [
        pytest.param(-30, PAST, id="before now"),
        pytest.param(8 * 60, NOBODY_IN, id="before the hours begin"),
        pytest.param(1015, CLOSING, id="too near to closing"),
    ],
)
def test_a_time_without_hands_is_refused_and_the_first_that_has_them_is_named(
    minute: int, reason: str
) -> None:
    problem = two_colours()
    keep = plan_in_hand(problem)

    refused = try_move(problem, keep, keep.mixes[0], minute)

    assert isinstance(refused, CannotMove)
    assert refused.reason == reason
    assert refused.first_free is not None
    assert isinstance(try_move(problem, keep, keep.mixes[0], refused.first_free), Moved)
    assert refused.first_free == (DAY + NINE if reason == CLOSING else NINE)


def one_copy() -> Problem:
    """Two trays of two colours and one copy, that rests for a day."""
    return a_problem(
        a_line("slate", ship_by=6 * DAY),
        a_line("fog", colour="Fog", ship_by=9 * DAY),
        moulds=(a_mould(copies=1, rest_minutes=DAY),),
    )


def test_moulds_that_are_in_another_mix_are_named_with_the_minute_they_are_free() -> None:
    problem = one_copy()
    keep = plan_in_hand(problem)
    slate, fog = sorted(keep.mixes, key=lambda mix: mix.start)

    refused = try_move(problem, keep, fog, slate.start + 30)

    assert isinstance(refused, CannotMove)
    assert (refused.reason, refused.clash.mould if refused.clash else "") == (MOULD, "tray")
    assert refused.clash is not None
    assert refused.clash.mix is not None
    assert (refused.clash.mix.start, refused.clash.is_later) == (slate.start, False)
    # Mixed and filled in 12 minutes, set in 60, opened in 3, then a day to clean and dry.
    assert refused.clash.until == slate.start + 12 + 60 + 3 + DAY
    assert refused.first_free == -(-refused.clash.until // 15) * 15


def test_moulds_that_would_be_wet_for_a_later_mix_are_named() -> None:
    problem = one_copy()
    keep = plan_in_hand(problem)
    slate, fog = sorted(keep.mixes, key=lambda mix: mix.start)

    refused = try_move(problem, keep, slate, fog.start - 120)

    assert isinstance(refused, CannotMove)
    assert refused.clash is not None
    assert refused.clash.mix is not None
    assert (refused.clash.mix.start, refused.clash.is_later) == (fog.start, True)


def test_a_mix_is_not_moved_to_before_its_powder_comes() -> None:
    compound = a_compound(powder_g=100, receipts=(Receipt(4 * DAY, 1000),))
    problem = replace(two_colours(), compounds=(compound,))
    keep = plan_in_hand(problem)
    second = max(keep.mixes, key=lambda mix: mix.start)

    refused = try_move(problem, keep, second, DAY + NINE)

    assert isinstance(refused, CannotMove)
    assert refused.reason == SUPPLY
    assert refused.first_free is not None
    assert refused.first_free >= 4 * DAY


def test_another_pinned_mix_stays() -> None:
    problem = two_colours()
    keep = plan_in_hand(problem)
    first, second = sorted(keep.mixes, key=lambda mix: mix.start)
    pinned = with_pin(problem, Pin(first.compound, first.colour, first.start, first.start))

    refused = try_move(pinned, keep, second, first.start)

    assert isinstance(refused, CannotMove)
    assert refused.reason == TAKEN
    assert refused.first_free is not None


def test_a_mix_whose_pieces_nobody_wants_any_more_cannot_be_moved() -> None:
    problem = two_colours()
    keep = plan_in_hand(problem)
    slate_only = replace(problem, lines=problem.lines[:1])
    fog = next(mix for mix in keep.mixes if mix.colour == "Fog")

    refused = try_move(slate_only, keep, fog, NINE)

    assert refused == CannotMove(NINE, GONE, None)


@pytest.mark.parametrize("seed", range(2))
def test_every_moved_plan_passes_the_checker_and_keeps_its_pin(seed: int) -> None:
    form = a_load_form(30, seed, 0.7)
    problem = problem_from_form(form)
    keep = plan_in_hand(problem)
    tried = [try_move(problem, keep, mix, mix.start + DAY) for mix in keep.mixes[:6]]
    moved = [one for one in tried if isinstance(one, Moved)]

    assert moved
    for one in moved:
        made = plan_of(one.run)
        assert made.missed_pins == ()
        pinned = problem_to_form(one.run.prepared.problem)
        unplaced = tuple(line.line for line in made.unplaced)
        assert faults_in({**form, "pins": pinned["pins"]}, plan_to_form(made), unplaced) == []


def test_windows_are_cut_where_hands_must_be_ready() -> None:
    windows = (Window(0, 100, 2), Window(200, 300, 1))

    assert windows_ready_for(windows, [250, 40, 200, 150]) == (
        Window(0, 40, 2),
        Window(40, 100, 2),
        Window(200, 250, 1),
        Window(250, 300, 1),
    )
