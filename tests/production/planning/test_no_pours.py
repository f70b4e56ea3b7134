"""Days on which a compound, a colour, or anything at all is not poured."""

import random

import pytest

from production.planning.bounds import lower_bounds
from production.planning.effort import Effort
from production.planning.forms import plan_to_form, problem_from_form, problem_to_form
from production.planning.lifting import NO_POURS, Limit, lift, limits_of
from production.planning.list_rule import ListRule
from production.planning.no_pours import NoPours
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.problem import Pin, Window
from production.planning.reasons import explain
from production.planning.simulate import simulate
from production.planning.solve import plan
from production.planning.tape import record
from tests.production.planning.builders import a_line, a_mould, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form

DAY = 1440
AT_ONCE = ListRule(10**6, 10**6, 0.0)


def starts(problem):
    return [(mix.start // DAY, mix.start % DAY) for mix in simulate(prepare(problem), AT_ONCE).mixes]


@pytest.mark.parametrize(
    ("barred", "first"),
    [
        (NoPours(None, None, 0, 2 * DAY), (2, 540)),
        (NoPours("Quick", "Slate", 0, DAY), (1, 540)),
        (NoPours(None, "Slate", 540, 600), (0, 600)),
        (NoPours(None, "Fog", 0, DAY), (0, 540)),
    ],
)
def test_what_is_not_poured_then_waits_to_the_minute(barred, first):
    assert starts(a_problem(no_pours=(barred,))) == [first]


def test_hours_that_meet_are_waited_for_as_one():
    barred = (NoPours(None, "Slate", 0, DAY), NoPours("Quick", None, DAY, DAY + 700))

    assert starts(a_problem(no_pours=barred)) == [(1, 700)]


def test_a_given_mix_waits_too_and_a_run_from_the_middle_is_the_same():
    problem = a_problem(a_line("1"), a_line("2"), no_pours=(NoPours(None, None, 2 * DAY, 3 * DAY),))
    prepared = prepare(problem)
    tape = record(prepared, AT_ONCE)
    given = [type(mix)(2 * DAY + 600, mix.jug, mix.takes) for mix in tape.run.given_mixes()]

    run = simulate(prepared, AT_ONCE, given=given)

    assert [(mix.start // DAY, mix.start % DAY) for mix in run.mixes] == [(3, 540)]
    assert tape.replay(given, 0).mixes == run.mixes


def test_a_pin_on_a_day_without_pours_is_missed_and_told():
    pin = Pin("Quick", "Slate", DAY + 600, DAY + 600)

    made = plan(
        a_problem(pins=(pin,), no_pours=(NoPours(None, "Slate", DAY, 2 * DAY),)), effort=Effort(rules=2)
    )

    assert made.missed_pins == (pin,)


def test_a_line_is_urgent_before_the_days_on_which_it_is_not_poured():
    """Latest on the tenth day; with that and three before it kept free, at the end of the sixth."""
    free, barred = (
        prepare(a_problem()),
        prepare(a_problem(no_pours=(NoPours(None, None, 6 * DAY, 10 * DAY),))),
    )

    assert free.units[0].latest_pour // DAY == 9
    assert barred.units[0].latest_pour == 5 * DAY + 1020 - 17


def test_days_without_pours_are_the_reason_where_lifting_them_brings_a_line_in_time():
    barred = NoPours(None, "Slate", 0, 10 * DAY)
    problem = a_problem(a_line(ship_by=4 * DAY + 1020), moulds=(a_mould(copies=1),), no_pours=(barred,))
    made = plan(problem, effort=Effort(rules=2))
    run = simulate(prepare(problem), AT_ONCE)

    assert made.late[0].days_late > 0
    assert Limit(NO_POURS) in limits_of(problem, "101")
    assert not plan(lift(problem, [Limit(NO_POURS)]), effort=Effort(rules=2)).late
    assert explain(made, run).late[0].held_by == "no pours"


def test_the_weekend_after_a_friday_without_pours_is_waited_through_because_of_the_friday():
    days = (4, 7, 8, 9)
    windows = tuple(Window(day * DAY + 540, day * DAY + 1020) for day in days)
    barred = NoPours(None, "Slate", 4 * DAY, 5 * DAY)
    problem = a_problem(a_line(ship_by=7 * DAY + 1020), windows=windows, no_pours=(barred,))
    run = simulate(prepare(problem), AT_ONCE)

    (late,) = explain(plan_of(run), run).late

    assert late.held_by == "no pours"


@pytest.mark.parametrize("seed", range(2))
def test_plans_keep_to_them_pass_the_checker_and_are_no_better_than_their_bound(seed):
    form = a_problem_form(15, seed, slack=0.9)
    rng = random.Random(seed)
    colours = [line["colour"] for line in form["orders"]]
    form["no_pours"] = [
        {"compound": None, "colour": rng.choice(colours), "from": day * DAY, "to": (day + 1) * DAY}
        for day in rng.sample(range(1, 12), 4)
    ]
    problem = problem_from_form(form)

    made = plan(problem, effort=Effort(rules=4, urgency_tries=6))

    assert problem_to_form(problem)["no_pours"] == form["no_pours"]
    assert faults_in(form, plan_to_form(made), tuple(line.line for line in made.unplaced)) == []
    prepared = prepare(problem)
    bound = lower_bounds(prepared, simulate(prepared, AT_ONCE), deterministic_seconds=0.5)
    assert bound.points <= made.score.points
    # The checker would have noticed.
    moved = plan_to_form(made)
    mix = next(mix for mix in moved["mixes"] if mix["colour"] == form["no_pours"][0]["colour"])
    mix["start"] = form["no_pours"][0]["from"] + 600
    assert any("none is poured" in fault for fault in faults_in(form, moved))
