"""The urgency search: never worse than its starts, repeatable, sound, and less late where much is late."""

import pytest

from production.planning.forms import plan_to_form, problem_from_form
from production.planning.plans import plan_of
from production.planning.portfolio import GRID
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from production.planning.solution import UNPLACED_DAYS
from production.planning.urgency import improve_by_urgency, lateness_points
from production.planning.walk import key_of
from tests.production.planning.builders import DAY, a_line, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form


def starts_of(form, rules=6):
    prepared = prepare(problem_from_form(form))
    return prepared, [simulate(prepared, rule) for rule in GRID[:rules]]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lateness_falls_below_that_of_the_best_list_rule_and_the_plan_passes_the_checker(seed):
    form = a_problem_form(25, seed, slack=0.4)
    prepared, starts = starts_of(form)

    better = improve_by_urgency(prepared, starts, tries=150, seed=1)

    assert better.score.points < 0.9 * min(run.score.points for run in starts)
    unplaced = tuple(line.line for line in plan_of(better).unplaced)
    assert faults_in(form, plan_to_form(plan_of(better)), unplaced) == []


def test_the_same_seed_finds_the_same_plan_and_every_try_is_told():
    prepared, starts = starts_of(a_problem_form(15, 4, slack=0.5))
    told = []

    one = improve_by_urgency(prepared, starts, tries=60, seed=5, on_try=told.append)
    other = improve_by_urgency(prepared, starts, tries=60, seed=5)

    assert one == other
    assert len(told) == 60
    assert key_of(one) == min(map(key_of, [*starts, *told]))


def test_the_plan_found_can_be_played_again_with_its_offsets():
    prepared, starts = starts_of(a_problem_form(20, 2, slack=0.4))

    found = improve_by_urgency(prepared, starts, tries=40, seed=2)

    assert any(found.offsets)
    assert simulate(prepared, found.rule, offsets=found.offsets) == found


def test_no_try_and_an_early_stop_give_the_best_start():
    prepared, starts = starts_of(a_problem_form(20, 2, slack=0.4))
    best = min(starts, key=key_of)

    assert improve_by_urgency(prepared, starts, tries=0, seed=1) is best
    assert improve_by_urgency(prepared, starts, tries=50, seed=1, should_stop=lambda: True) is best
    with pytest.raises(ValueError, match="empty"):
        improve_by_urgency(prepared, [], tries=5, seed=1)


def test_what_a_late_line_costs_grows_with_its_weight_and_days():
    """Packed at 12:30 of day 1; two pieces of weight 2, due a day and a half before, 2 days step: 4 x 3.5."""
    due = DAY + 750 - 36 * 60
    late = a_line("late", quantity=2, weight=2, ship_by=due)
    prepared = prepare(a_problem(late, a_line("in time")))
    run = simulate(prepared, GRID[0])
    days = (run.packed_at[0] - due) / DAY

    assert lateness_points(run) == {0: pytest.approx(4 * (2 + days))}


def test_a_line_that_is_not_packed_costs_as_much_as_its_score_says():
    prepared = prepare(a_problem(a_line(ship_by=DAY), minutes=30 * DAY, windows=()))
    run = simulate(prepared, GRID[0])

    assert lateness_points(run) == {0: pytest.approx(2 + 29 + UNPLACED_DAYS)}
