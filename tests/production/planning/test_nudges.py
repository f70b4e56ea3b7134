"""Nudging the urgency of lines: never worse, repeatable, sound, and less late where a list rule is late."""

import pytest

from production.planning.forms import plan_to_form, problem_from_form
from production.planning.list_rule import ListRule
from production.planning.nudges import improve_by_nudges, late_lines
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from production.planning.walk import key_of
from tests.production.planning.builders import DAY, a_line, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form

RULE = ListRule(5 * DAY, 5 * DAY, 0.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_nudges_lower_lateness_and_the_plan_passes_the_checker(seed):
    form = a_problem_form(25, seed, slack=0.4)
    start = simulate(prepare(problem_from_form(form)), RULE)

    better = improve_by_nudges(start, tries=150, seed=1)

    assert better.score.points < start.score.points
    unplaced = tuple(line.line for line in plan_of(better).unplaced)
    assert faults_in(form, plan_to_form(plan_of(better)), unplaced) == []


def test_the_same_seed_finds_the_same_plan_and_every_try_is_told():
    start = simulate(prepare(problem_from_form(a_problem_form(15, 4, slack=0.5))), RULE)
    told = []

    one = improve_by_nudges(start, tries=60, seed=5, on_try=told.append)
    other = improve_by_nudges(start, tries=60, seed=5)

    assert one.mixes == other.mixes
    assert len(told) == 60
    assert key_of(one) == min(map(key_of, [start, *told]))


def test_late_lines_are_those_packed_after_their_ship_by():
    run = simulate(prepare(a_problem(a_line("1"), a_line("2", ship_by=DAY))), RULE)

    assert late_lines(run) == [1]
