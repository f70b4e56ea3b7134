import random

import pytest

from production.planning.effort import Effort
from production.planning.forms import plan_to_form, problem_from_form
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Pin
from production.planning.simulate import simulate
from production.planning.solve import plan
from tests.production.planning.builders import a_line, a_mould, a_problem
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form

DAY = 1440
AT_ONCE = ListRule(10**6, 10**6, 0.0)


def starts(problem, rule=AT_ONCE):
    return [(mix.start // DAY, mix.start % DAY) for mix in simulate(prepare(problem), rule).mixes]


def test_a_pinned_mix_starts_within_its_pin():
    """Poured at once without the pin, on the fifth day at 11:00 with it."""
    pin = Pin("Quick", "Slate", 4 * DAY + 660, 4 * DAY + 720)

    assert starts(a_problem()) == [(0, 540)]
    assert starts(a_problem(pins=(pin,))) == [(4, 660)]


def test_a_pin_goes_before_the_list_rule():
    """The rule would pour half a day before the latest pour, on the ninth day."""
    pin = Pin("Quick", "Slate", DAY + 660, DAY + 720)

    assert starts(a_problem(pins=(pin,)), ListRule(720, 0, 0.7)) == [(1, 660)]


def test_only_one_line_is_kept_back_for_a_pin():
    lines = (a_line("1"), a_line("2", ship_by=12 * DAY + 1020), a_line("3", ship_by=14 * DAY + 1020))
    pin = Pin("Quick", "Slate", 10 * DAY + 540, 10 * DAY + 1020)

    run = simulate(prepare(a_problem(*lines, moulds=(a_mould(copies=9),), pins=(pin,))), AT_ONCE)

    # The first could not wait so long; of the two that could the more urgent one is kept.
    assert [(mix.start // DAY, [unit for unit, _ in mix.takes]) for mix in run.mixes] == [
        (0, [0, 2]),
        (10, [1]),
    ]


def test_a_pin_nothing_can_meet_is_told():
    wrong_colour = Pin("Quick", "Chalk", 0, DAY)
    at_night = Pin("Quick", "Slate", 1200, 1300)
    met = Pin("Quick", "Slate", DAY + 540, DAY + 1000)

    made = plan(
        a_problem(a_line("1"), a_line("2"), pins=(wrong_colour, at_night, met)), effort=Effort(rules=2)
    )

    assert made.missed_pins == (wrong_colour, at_night)


@pytest.mark.parametrize("seed", range(8))
def test_pins_of_half_a_day_are_kept_in_plans_that_pass_the_checker(seed):
    form = a_problem_form(30, seed, slack=1.5, pairs=2)
    rng = random.Random(seed)
    for line in rng.sample(form["orders"][10:], 2):
        part = form["articles"][line["article"]]["parts"][0]
        morning = rng.choice([w["from"] for w in form["hands"] if DAY < w["from"] < 8 * DAY])
        pin = {"compound": part["compound"], "colour": line["colour"], "from": morning, "to": morning + 300}
        form["pins"].append(pin)

    made = plan(problem_from_form(form), effort=Effort(rules=8))

    faults = faults_in(form, plan_to_form(made), tuple(line.line for line in made.unplaced))
    assert len(faults) == len(made.missed_pins)
    assert all("no mix of" in fault for fault in faults)
    assert made.missed_pins == ()


@pytest.mark.parametrize("seed", range(4))
def test_a_run_with_pins_given_back_is_the_same_run(seed):
    form = a_problem_form(40, seed, slack=0.6)
    for line in form["orders"][12:15]:
        part = form["articles"][line["article"]]["parts"][0]
        form["pins"].append(
            {
                "compound": part["compound"],
                "colour": line["colour"],
                "from": 2 * DAY + 600,
                "to": 3 * DAY + 700,
            }
        )
    prepared = prepare(problem_from_form(form))
    rule = ListRule(5 * DAY, 5 * DAY, 0.0)

    first = simulate(prepared, rule)
    again = simulate(prepared, rule, given=first.given_mixes())

    assert again.mixes == first.mixes
    assert again.packed_at == first.packed_at
