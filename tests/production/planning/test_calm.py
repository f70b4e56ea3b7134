"""The plan before is where the next one starts from; what moves of it has a price."""

import random
from dataclasses import replace

import pytest

from production.planning.calm import (
    Keep,
    KeptMix,
    changes,
    given_from,
    kept_of,
    ladder_key,
    pair_starts,
    replayed,
)
from production.planning.forms import problem_from_form
from production.planning.list_rule import ListRule
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.problem import CastCount, Problem
from production.planning.simulate import Run, simulate
from tests.bench.load import a_load_form
from tests.production.planning.builders import DAY, a_line, a_mould, a_problem

RULE = ListRule(3 * DAY, 5 * DAY, 0.0)


def keep_of(run: Run, now: int = 0) -> Keep:
    """What a run has ahead."""
    mixes = tuple(
        KeptMix(
            mix.start,
            mix.compound,
            mix.colour,
            tuple(CastCount(cast.line, cast.part, cast.quantity) for cast in mix.casts),
        )
        for mix in plan_of(run).mixes
    )
    lines = run.prepared.problem.lines
    urgency = tuple((lines[number].id, minutes) for number, minutes in enumerate(run.offsets) if minutes)
    return Keep(mixes, now, run.rule, urgency)


@pytest.mark.parametrize("seed", range(4))
def test_where_nothing_changed_the_old_plan_plays_again_minute_by_minute(seed: int) -> None:
    problem = problem_from_form(a_load_form(40, seed, 0.9))
    rng = random.Random(seed)
    made = simulate(prepare(problem), RULE, offsets=[rng.randint(-2 * DAY, 2 * DAY) for _ in problem.lines])

    again = replayed(prepare(problem), keep_of(made))

    assert [(mix.start, mix.jug) for mix in again.mixes] == [(mix.start, mix.jug) for mix in made.mixes]
    assert again.task_starts == made.task_starts
    assert again.score == made.score
    assert changes(keep_of(made), again) == 0


def test_a_new_order_is_placed_behind_a_plan_that_stays() -> None:
    problem = problem_from_form(a_load_form(40, 1, 0.6))
    made = simulate(prepare(problem), RULE)
    new = replace(problem.lines[0], id="new", quantity=1, ship_by=problem.minutes)
    more = prepare(replace(problem, lines=(*problem.lines, new)))

    again = replayed(more, keep_of(made))

    kept, of = kept_of(keep_of(made), again)
    assert of == len(made.mixes)
    assert kept >= 0.9 * of
    assert again.packed_at[-1] is not None


def test_what_is_called_off_falls_away_and_is_no_change() -> None:
    problem = a_problem(a_line("101"), a_line("102", colour="Fog"))
    keep = keep_of(simulate(prepare(problem), RULE))
    fewer = prepare(replace(problem, lines=problem.lines[:1]))

    given = given_from(fewer, keep)
    run = replayed(fewer, keep)

    assert [fewer.jugs[mix.jug].colour for mix in given] == ["Slate"]
    assert changes(keep, run) == 0
    assert kept_of(keep, run) == (1, 1)


def test_no_more_pieces_are_kept_than_are_still_wanted() -> None:
    keep = Keep((KeptMix(600, "Quick", "Slate", (CastCount("101", "body", 5),)),), 0)

    given = given_from(prepare(a_problem(a_line("101", quantity=1))), keep)

    assert [mix.takes for mix in given] == [((0, 1),)]


@pytest.mark.parametrize(
    ("minutes_later", "price"),
    [
        pytest.param(15, 0.0, id="a quarter of an hour is no change"),
        pytest.param(16, 1.0, id="within two working days it counts as a mix"),
    ],
)
def test_a_mix_that_moves_has_a_price(minutes_later: int, price: float) -> None:
    made = simulate(prepare(_due_at_once()), RULE)
    start = made.mixes[0].start
    keep = Keep((KeptMix(start - minutes_later, "Quick", "Slate", (CastCount("101", "body", 1),)),), 0)

    assert changes(keep, made) == price
    assert kept_of(keep, made) == (0 if price else 1, 1)


def test_a_mix_that_moves_later_than_two_working_days_from_now_costs_a_fifth() -> None:
    made = simulate(prepare(_due_at_once()), RULE)
    third_day = 2 * DAY + 600
    keep = Keep((KeptMix(third_day, "Quick", "Slate", (CastCount("101", "body", 1),)),), 0)

    assert changes(keep, made) == 0.2
    assert ladder_key(keep, made)[2] == 1.2
    assert ladder_key(None, made)[2] == 1


def test_days_with_nobody_in_are_no_working_days() -> None:
    problem = _due_at_once()
    shut = replace(problem, windows=(problem.windows[0], *problem.windows[4:]))
    made = simulate(prepare(shut), RULE)
    keep = Keep((KeptMix(4 * DAY + 900, "Quick", "Slate", (CastCount("101", "body", 1),)),), 0)

    assert changes(keep, made) == 1


def test_mixes_of_one_colour_are_paired_where_they_stay_and_then_in_order() -> None:
    assert pair_starts([600, 700, 800], [695, 900]) == [(600, 900), (700, 695), (800, None)]


def test_a_mix_for_which_a_copy_is_gone_keeps_what_still_fits() -> None:
    problem = a_problem(*(a_line(str(number)) for number in range(6)), moulds=(a_mould(copies=2),))
    keep = keep_of(simulate(prepare(problem), RULE))
    broken = prepare(replace(problem, moulds=(a_mould(copies=1),)))

    run = replayed(broken, keep)

    assert all(packed is not None for packed in run.packed_at)
    assert all(pieces == 1 for mix in run.mixes for _, pieces in mix.takes)


def _due_at_once() -> Problem:
    return a_problem(a_line("101", ship_by=2 * DAY))
