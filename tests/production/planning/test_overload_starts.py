"""Plans begun from lines that are best let be late: better where there is too much to do, none where not."""

from dataclasses import replace

from production.planning.demands import demands_of
from production.planning.forms import problem_from_form
from production.planning.overload_starts import pressed, runs_from_overload
from production.planning.portfolio import GRID, best_of_rules
from production.planning.prepare import prepare
from production.planning.turns import Earliest
from tests.bench.load import a_load_form
from tests.production.planning.builders import a_line, a_problem


def never():
    return False


def test_an_overloaded_studio_is_less_late_when_few_lines_are_let_be_late():
    prepared = prepare(problem_from_form(a_load_form(200, 1, 1.1)))
    listed = best_of_rules(prepared, GRID)

    begun = min(run.score for run in runs_from_overload(prepared, GRID[:8], pressures=1, should_stop=never))

    assert begun.points < 0.7 * listed.score.points


def test_where_all_can_be_in_time_there_is_nothing_to_begin_from():
    prepared = prepare(a_problem(a_line()))

    assert list(runs_from_overload(prepared, GRID, pressures=2, should_stop=never)) == []


def test_who_asks_to_stop_gets_no_more_runs():
    prepared = prepare(problem_from_form(a_load_form(50, 3, 1.1)))
    runs = runs_from_overload(prepared, GRID, pressures=2, should_stop=lambda: len(seen) >= 3)
    seen = []
    for run in runs:
        seen.append(run)

    assert len(seen) == 3


def test_under_pressure_hands_have_fewer_hours_and_moulds_as_many_turns():
    demands = demands_of(Earliest(prepare(a_problem(a_line()))))
    hands, trays = demands.limits

    pressed_hands, pressed_trays = pressed(demands, 1.2).limits

    assert pressed_hands.room[0][0] == 400
    assert replace(pressed_hands, room=hands.room) == hands
    assert pressed_trays == trays
