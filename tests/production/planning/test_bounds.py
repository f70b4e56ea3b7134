"""Bounds are below every plan, whoever made it, and reach the best plan of tiny problems often."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.planning.bounds import lower_bounds
from production.planning.forms import problem_from_form
from production.planning.portfolio import GRID
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from tests.production.planning.exhaustive import least_points_and_mixes
from tests.production.planning.generator import a_problem_form, a_tiny_form

DAY = 1440
KINDS = (
    {"slack": 0.3},
    {"slack": 0.6},
    {"slack": 0.6, "pairs": 2},
    {"days": 16, "slack": 0.5},
    {"powder_g": 20_000, "receipts": ((10 * DAY, 40_000), (25 * DAY + 700, 60_000))},
    {"closed_days": tuple(range(7, 15)), "slack": 0.5},
)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(KINDS), st.integers(3, 30), st.sampled_from(GRID))
def test_counted_bounds_are_below_every_plan(seed, kind, lines, rule):
    prepared = prepare(problem_from_form(a_problem_form(lines, seed, **kind)))
    run = simulate(prepared, rule)

    bounds = lower_bounds(prepared, run, deterministic_seconds=0)

    assert bounds.points <= run.score.points
    assert bounds.mixes <= run.score.mixes


@pytest.mark.parametrize("seed", range(12))
def test_counted_bounds_are_below_the_best_of_all_plans(seed):
    form = a_tiny_form(seed)
    prepared = prepare(problem_from_form(form))
    points, mixes = least_points_and_mixes(form)
    run = min((simulate(prepared, rule) for rule in GRID), key=lambda run: run.score)

    bounds = lower_bounds(prepared, run, deterministic_seconds=0)

    assert bounds.points <= points
    assert run.score.points > points or bounds.mixes <= mixes
