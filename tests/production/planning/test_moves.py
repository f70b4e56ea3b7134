"""Moves on mixes: never worse, repeatable, sound, and gaining where a plan leaves something to gain."""

import pytest

from production.planning.forms import plan_to_form, problem_from_form
from production.planning.list_rule import ListRule
from production.planning.moves import improve_by_moves
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from production.planning.walk import key_of
from tests.production.planning.builders import DAY, a_compound, a_line, a_mould, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form

AT_ONCE = ListRule(40 * DAY, 0, 0.0)


def a_start(form, rule=AT_ONCE):
    return simulate(prepare(problem_from_form(form)), rule)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_moves_save_mixes_and_the_plan_passes_the_checker(seed):
    form = a_problem_form(25, seed)
    start = a_start(form)

    better = improve_by_moves(start, tries=150, seed=1)

    assert key_of(better) < key_of(start)
    assert better.score.mixes < start.score.mixes
    unplaced = tuple(line.line for line in plan_of(better).unplaced)
    assert faults_in(form, plan_to_form(plan_of(better)), unplaced) == []


def test_two_mixes_that_fit_in_one_jug_become_one():
    # Due a day apart and without look-ahead the rule pours them one by one.
    lines = (a_line("1"), a_line("2", ship_by=11 * DAY + 1020))
    start = simulate(prepare(a_problem(*lines, moulds=(a_mould(copies=4),))), ListRule(DAY, 0, 0.0))
    assert start.score.mixes == 2

    better = improve_by_moves(start, tries=30, seed=1)

    assert (better.score.points, better.score.mixes) == (0, 1)


def test_a_mix_is_never_fuller_than_its_jug():
    # 4 trays of 200 g and 50 g residue, in a jug of 500 g: two a mix.
    lines = tuple(a_line(str(number)) for number in range(4))
    problem = a_problem(*lines, moulds=(a_mould(copies=9),), compounds=(a_compound(jug_g=500),))
    start = simulate(prepare(problem), AT_ONCE)

    better = improve_by_moves(start, tries=60, seed=3)

    assert better.score.mixes == 2
    assert all(sum(pieces for _, pieces in mix.takes) == 2 for mix in better.mixes)


def test_the_same_seed_finds_the_same_plan_and_what_it_plays_again_is_the_same():
    start = a_start(a_problem_form(15, 4, slack=0.5))

    one, other = (improve_by_moves(start, tries=80, seed=5) for _ in range(2))

    assert one.mixes == other.mixes
    again = simulate(one.prepared, one.rule, offsets=one.offsets or None, given=one.given_mixes())
    assert (again.mixes, again.score, again.task_starts) == (one.mixes, one.score, one.task_starts)


def test_every_try_is_told_and_a_stop_is_heeded():
    start, told = a_start(a_problem_form(15, 4, slack=0.5)), []

    best = improve_by_moves(start, tries=50, seed=1, on_try=told.append, should_stop=lambda: len(told) >= 20)

    assert len(told) == 20
    assert key_of(best) == min(map(key_of, [start, *told]))


def test_changes_that_cost_more_than_they_save_are_not_the_answer():
    start = a_start(a_problem_form(25, 1, slack=2.0))
    assert start.score.points == 0

    kept = improve_by_moves(
        start, tries=100, seed=1, price=lambda run: 0 if run.mixes == start.mixes else 1000
    )

    assert kept.mixes == start.mixes


def test_a_plan_without_mixes_is_left_as_it_is():
    start = simulate(prepare(a_problem(lines=())), AT_ONCE)

    assert improve_by_moves(start, tries=5, seed=1) is start
