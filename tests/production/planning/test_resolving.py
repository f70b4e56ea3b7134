"""Solving again from a plan in hand: fair to the unchanged problem, never worse, each problem once."""

import pytest

from production.planning.effort import Effort
from production.planning.forms import problem_from_form
from production.planning.lifting import MOULD, Limit, lift, more_copies
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.resolving import NEVER, Resolver, Stopped
from production.planning.simulate import simulate
from tests.production.planning import late_cases
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article
from tests.production.planning.generator import a_problem_form

DAY = 1440
LAZY = ListRule(0, 0, 0.0)
EFFORT = Effort(rules=3)


def a_resolver(problem, rule=LAZY, **how):
    return Resolver(simulate(prepare(problem), rule), effort=EFFORT, **how)


def test_the_unchanged_problem_gets_the_same_tries_and_is_never_worse_than_the_plan_in_hand():
    resolver = a_resolver(problem_from_form(a_problem_form(20, 3, slack=0.4)))

    assert resolver.unchanged.key < resolver.in_hand.key


def test_a_looser_problem_is_never_worse_than_the_unchanged_one():
    problem = late_cases.one_mould()
    resolver = a_resolver(problem)

    assert resolver.answer(problem) == resolver.unchanged
    assert resolver.answer(lift(problem, [Limit(MOULD, "tray")])).score.points == 0


def test_a_problem_that_looks_worse_is_answered_by_the_plan_in_hand():
    """One copy less is no looser problem, but shows that the worse answer is not taken."""
    resolver = a_resolver(a_problem(a_line(quantity=2, ship_by=2 * DAY), moulds=(a_mould(copies=2),)))

    assert resolver.answer(more_copies(resolver.problem, "tray", -1)) == resolver.unchanged


def test_each_problem_is_solved_once():
    counted = []
    problem = late_cases.one_mould()
    resolver = a_resolver(problem, on_solve=counted.append)

    for _ in range(2):
        resolver.answer(more_copies(problem, "tray", 1))

    assert counted == [1, 2]
    assert resolver.solves == 2


def test_a_line_that_is_not_placed_is_late_for_ever():
    resolver = a_resolver(a_problem(compounds=(a_compound(powder_g=0),)))

    assert resolver.in_hand.days_late == {"101": NEVER}


def test_a_solve_that_was_stopped_is_no_answer():
    asked = []

    def stop():
        asked.append(1)
        return len(asked) > 2

    resolver = a_resolver(late_cases.one_mould(), should_stop=stop)

    with pytest.raises(Stopped):
        resolver.unchanged  # noqa: B018
    assert resolver.solves == 0
    assert resolver.known_unchanged == resolver.in_hand


def test_the_first_part_of_a_line_is_what_is_opened_before_its_last_mix():
    four = a_problem(a_line("101", quantity=5), moulds=(a_mould(copies=2, rest_minutes=DAY),))
    one = a_problem(a_line("101", quantity=2), moulds=(a_mould(copies=2),))
    none = a_problem(
        a_line("101", article="Painted"), articles=(an_article(), late_cases.PAINTED), moulds=(a_mould(),)
    )

    assert a_resolver(four).pieces_dry_first("101") == 4
    assert a_resolver(one).pieces_dry_first("101") == 0
    assert a_resolver(none).pieces_dry_first("101") == 0
