import pytest

from production.planning.portfolio import GRID, best_of_rules, rules_for
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from tests.production.planning.builders import a_line, a_problem

DAY = 1440


def test_the_grid_is_every_pair_of_settings_once():
    assert len(GRID) == len(set(GRID)) == 7 * 4 * 2
    assert {rule.pour_ahead_minutes for rule in GRID} == {
        720,
        DAY,
        2 * DAY,
        3 * DAY,
        5 * DAY,
        10 * DAY,
        40 * DAY,
    }
    assert {rule.look_ahead_minutes for rule in GRID} == {0, 2 * DAY, 5 * DAY, 14 * DAY}
    assert {rule.least_fill for rule in GRID} == {0.0, 0.7}


def test_more_than_a_thousand_lines_get_three_rules():
    assert rules_for(1000) == GRID
    assert len(rules_for(1001)) == 3


def test_the_best_run_is_the_one_with_the_least_score():
    prepared = prepare(a_problem(*(a_line(str(n), quantity=3, ship_by=(4 + n) * DAY) for n in range(6))))

    best = best_of_rules(prepared, GRID)

    assert best.score == min(simulate(prepared, rule).score for rule in GRID)
    assert best.score < max(simulate(prepared, rule).score for rule in GRID)


def test_of_equal_runs_the_first_is_kept():
    prepared = prepare(a_problem(lines=()))

    assert best_of_rules(prepared, GRID).rule == GRID[0]


def test_at_least_one_rule_is_tried_even_when_stopped_at_once():
    prepared = prepare(a_problem())

    assert best_of_rules(prepared, GRID, should_stop=lambda: True).rule == GRID[0]
    with pytest.raises(ValueError, match="At least one list rule"):
        best_of_rules(prepared, ())
