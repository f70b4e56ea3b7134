"""A fresh start from lines that may be late: never worse, within its tries, the same every time."""

from production.planning.forms import problem_from_form
from production.planning.guided import improve_by_guide
from production.planning.nudges import improve_by_nudges
from production.planning.portfolio import GRID, best_of_rules
from production.planning.prepare import prepare
from production.planning.solution import DAY
from production.planning.turns import NEVER
from tests.production.planning.builders import a_line, a_mould, a_problem
from tests.production.planning.generator import a_problem_form


def a_run(seed=4):
    return best_of_rules(prepare(problem_from_form(a_problem_form(12, seed, slack=0.4))), GRID[:2])


def test_lines_that_may_be_late_are_played_as_if_due_so_much_later():
    # One copy: only one of the two can be poured on the first morning, and the first in the list is.
    lines = [a_line("1", ship_by=DAY + 780), a_line("2", ship_by=DAY + 780, weight=9)]
    run = best_of_rules(prepare(a_problem(*lines, moulds=(a_mould(copies=1),))), GRID)

    guided = improve_by_guide(run, {0: 1, 1: 0}, tries=1, seed=1)

    assert run.score.points == 27
    assert guided.score.points == 3
    assert guided.offsets == (DAY, 0)


def test_the_answer_is_no_worse_and_within_the_tries():
    run, tried = a_run(), []

    best = improve_by_guide(run, {0: 3, 1: NEVER}, tries=70, seed=1, on_try=tried.append)

    assert best.score <= run.score
    assert len(tried) == 70
    assert best.score == min([run.score, *(one.score for one in tried)])


def test_where_nothing_is_to_be_late_the_nudges_go_on():
    run = a_run()

    guided = improve_by_guide(run, {0: 0}, tries=20, seed=3)

    assert guided.score == improve_by_nudges(run, tries=20, seed=3).score


def test_who_asks_to_stop_gets_the_best_so_far():
    run = a_run()

    assert improve_by_guide(run, {0: 1}, tries=50, seed=1, should_stop=lambda: True) is run
