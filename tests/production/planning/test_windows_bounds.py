"""Bounds proven with the solver: below the best of all plans, above those of counting."""

import pytest

from production.planning.bounds import lower_bounds
from production.planning.forms import problem_from_form
from production.planning.portfolio import GRID, best_of_rules
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from production.planning.windows_bounds import BY_GROUP, proof_by_windows
from tests.production.planning.exhaustive import least_points_and_mixes
from tests.production.planning.generator import a_problem_form, a_tiny_form


@pytest.mark.parametrize("seed", range(12))
def test_bounds_are_below_the_best_of_all_plans(seed):
    form = a_tiny_form(seed)
    prepared = prepare(problem_from_form(form))
    points, mixes = least_points_and_mixes(form)
    run = min((simulate(prepared, rule) for rule in GRID), key=lambda run: run.score)

    bounds = proof_by_windows(prepared, run, deterministic_seconds=0.5).bounds

    assert bounds.points <= points
    assert run.score.points > points or bounds.mixes <= mixes


def test_ten_lines_are_proven_where_counting_proves_less():
    prepared = prepare(problem_from_form(a_problem_form(10, 1, slack=0.6)))
    run = best_of_rules(prepared, GRID)

    counted = lower_bounds(prepared, run, deterministic_seconds=0)
    proven = lower_bounds(prepared, run, deterministic_seconds=1)

    assert counted.points < proven.points == run.score.points
    assert proven.points_proven_by == BY_GROUP
    assert counted.mixes <= proven.mixes <= run.score.mixes


def test_who_asks_to_stop_gets_what_counting_proves():
    prepared = prepare(problem_from_form(a_problem_form(10, 1, slack=0.6)))
    run = best_of_rules(prepared, GRID[:1])

    stopped = proof_by_windows(prepared, run, deterministic_seconds=1, should_stop=lambda: True).bounds

    assert stopped == lower_bounds(prepared, run, deterministic_seconds=0)
