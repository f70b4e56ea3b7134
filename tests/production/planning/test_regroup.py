"""Grouping the pieces of a jug into the fewest of its mixes: exact by hand, sound and repeatable in large."""

import pytest

from production.planning.forms import plan_to_form, problem_from_form
from production.planning.list_rule import ListRule
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.regroup import regroup
from production.planning.simulate import simulate
from production.planning.walk import key_of
from tests.production.planning.builders import DAY, a_compound, a_line, a_mould, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form

ONE_BY_ONE = ListRule(DAY, 0, 0.0)
# Trays of 200 g; with 50 g residue four go into a jug of 850 g.
FOUR_A_JUG = {"moulds": (a_mould(copies=9),), "compounds": (a_compound(jug_g=850),)}


def played(*lines, rule=ONE_BY_ONE, **changes):
    return simulate(prepare(a_problem(*lines, **{**FOUR_A_JUG, **changes})), rule)


def lines_due(*days):
    return tuple(a_line(str(day), ship_by=day * DAY + 1020) for day in days)


def test_six_mixes_of_one_piece_become_two_of_at_most_four():
    start = played(*lines_due(10, 11, 12, 13, 14, 15))
    assert start.score.mixes >= 4

    grouped = regroup(start, tries=20, seconds=1)

    assert (grouped.score.points, grouped.score.mixes) == (0, 2)


def test_copies_in_use_keep_mixes_apart():
    # One mould: every piece needs its turn.
    start = played(*lines_due(10, 11, 12), moulds=(a_mould(copies=1),))

    assert regroup(start, tries=20, seconds=1).score.mixes == start.score.mixes == 3


def test_no_piece_is_poured_before_its_line_may_start():
    late_start = a_line("2", ship_by=11 * DAY + 1020, not_before=8 * DAY)
    early = a_line("1", ship_by=7 * DAY + 1020)
    start = played(early, late_start)
    assert start.score.points == 0

    assert regroup(start, tries=20, seconds=1).score.mixes == start.score.mixes == 2


@pytest.mark.parametrize("seed", [1, 2])
def test_a_grouped_plan_passes_the_checker_and_is_the_same_every_time(seed):
    form = a_problem_form(25, seed, slack=2.0)
    start = simulate(prepare(problem_from_form(form)), ListRule(40 * DAY, 0, 0.0))
    told = []

    one = regroup(start, tries=30, seconds=0.1, on_try=told.append)
    other = regroup(start, tries=30, seconds=0.1)

    assert one.mixes == other.mixes
    assert one.score.mixes < start.score.mixes
    assert key_of(one) == min(map(key_of, told))
    assert faults_in(form, plan_to_form(plan_of(one)), ()) == []


def test_without_tries_nothing_is_asked():
    start = played(*lines_due(10, 11, 12))

    assert regroup(start, tries=0, seconds=1) is start
