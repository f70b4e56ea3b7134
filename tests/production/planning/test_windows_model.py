"""The aggregated model is a relaxation: every real plan fits into it at no more than its own cost."""

import random

import pytest
from stockpyl.wagner_whitin import wagner_whitin

from production.planning.counting import sure_points
from production.planning.forms import problem_from_form
from production.planning.portfolio import GRID
from production.planning.prepare import prepare
from production.planning.problem import Receipt
from production.planning.simulate import simulate
from production.planning.turns import Earliest
from production.planning.windows_facts import facts_of
from production.planning.windows_model import SCALE, hard_model, hint, solve, total
from tests.production.planning.builders import (
    a_compound,
    a_line,
    a_mould,
    a_problem,
    an_article,
    working_days,
)
from tests.production.planning.generator import a_problem_form

DAY = 1440
KINDS = {
    "tight": {"slack": 0.3},
    "two pairs": {"slack": 0.6, "pairs": 2},
    "short calendar": {"days": 16, "slack": 0.5},
    "little powder": {
        "powder_g": 20_000,
        "receipts": ((10 * DAY, 40_000), (25 * DAY + 700, 60_000)),
        "slack": 0.5,
    },
    "closed week": {"closed_days": tuple(range(7, 15)), "slack": 0.5},
    "nothing in progress": {"in_progress": False, "slack": 0.4},
}


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("kind", KINDS)
def test_a_real_plan_fixed_into_the_model_is_feasible_and_costs_no_more_than_it_does(kind, seed):
    prepared = prepare(problem_from_form(a_problem_form(14, seed, **KINDS[kind])))
    run = simulate(prepared, GRID[(seed * 17 + len(kind)) % len(GRID)])
    earliest = Earliest(prepared)
    sure = sum(sure_points(prepared, earliest))
    # Few days: some pieces of the plan are poured after the last cell.
    facts = facts_of(earliest, range(len(prepared.units)), lambda line: (12, 3)[seed % 2])
    model = hard_model(facts)
    hint(model, run)
    for variable in (*model.pieces.values(), *model.mixes.values()):
        model.solver_model.add(variable == model.hints[variable.index])
    model.solver_model.minimize(total(model.lateness()))

    solved = solve(model, deterministic_seconds=1)

    assert solved.found
    assert sure + solved.cost / SCALE <= run.score.points + 1e-6


def least_points(problem):
    prepared = prepare(problem)
    earliest = Earliest(prepared)
    model = hard_model(facts_of(earliest, range(len(prepared.units)), lambda line: 5))
    model.solver_model.minimize(total(model.lateness()))
    return sum(sure_points(prepared, earliest)) + solve(model, deterministic_seconds=1).bound / SCALE


def test_one_copy_that_two_lines_need_on_the_first_morning_makes_the_lighter_late():
    lines = [a_line(str(n), ship_by=DAY + 780, weight=n + 1) for n in range(2)]

    assert least_points(a_problem(*lines, moulds=(a_mould(copies=2),))) == 0
    assert least_points(a_problem(*lines, moulds=(a_mould(copies=1),))) == 1 * (2 + 1)


def test_powder_that_comes_on_the_fourth_day_makes_a_line_late():
    line = a_line(ship_by=4 * DAY + 540)
    # Two mixes of 200 g slurry with 50 g residue at half powder need 125 g each.
    scarce = a_compound(powder_g=124, receipts=(Receipt(4 * DAY + 540, 1000),))
    enough = a_compound(powder_g=125)

    assert least_points(a_problem(line, compounds=(enough,))) == 0
    # Poured on the fifth day at 9:00, packed on the sixth at 12:30: 1 day and 3.5 hours late.
    assert least_points(a_problem(line, compounds=(scarce,))) == 2 + 2


def test_more_finishing_than_hands_makes_lines_late():
    lines = [a_line(str(n), quantity=1, ship_by=2 * DAY + 1020) for n in range(4)]
    problem = a_problem(*lines, moulds=(a_mould(copies=4),))
    article = problem.articles[0]
    long_coats = type(article)(
        article.name, article.parts, (type(article.steps[0])("coat 1", None, 290),), 10, 120
    )

    assert least_points(problem) == 0
    # Two days hold one coat of 290 minutes each, with its two hours and packing behind it.
    assert least_points(a_problem(*lines, moulds=problem.moulds, articles=(long_coats,))) > 0


def test_the_same_model_is_solved_to_the_same_answer():
    prepared = prepare(problem_from_form(a_problem_form(14, 3, slack=0.4)))

    def answer():
        model = hard_model(facts_of(Earliest(prepared), range(len(prepared.units)), lambda line: 9))
        model.solver_model.minimize(total(model.lateness()))
        return solve(model, deterministic_seconds=0.1)

    first, second = answer(), answer()

    assert (first.pieces, first.mixes, first.bound) == (second.pieces, second.mixes, second.bound)


# Lot sizing: a mix is a set-up, an early piece is held in store. Days are the periods, a line a period's
# demand; one jug holds any demand, moulds and hands have room for all.
# H. M. Wagner and T. M. Whitin, Dynamic Version of the Economic Lot Size Model, Management Science 5
# (1958) 89-96, the example of twelve periods: demand, set-up cost; holding costs 1 a period.
DEMAND = (69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56)
SET_UP = (85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114)


def as_casting(demand):
    """Each day's demand is a line that is packed on the day it is poured, one jug and enough moulds."""
    lines = [
        a_line(str(day), quantity=pieces, ship_by=day * DAY + 1020)
        for day, pieces in enumerate(demand)
        if pieces
    ]
    return a_problem(
        *lines,
        minutes=len(demand) * DAY,
        windows=working_days(len(demand)),
        compounds=(a_compound(dry_minutes=0, jug_g=1e6, powder_g=1e9),),
        moulds=(a_mould(copies=sum(demand), fill_minutes=0.001, open_minutes=0.001),),
        articles=(an_article(steps=(), pack_minutes=0, pack_wait_minutes=0),),
    )


def least_cost(demand, set_up, holding):
    """The least of set-ups and holding in the model with nothing late, and the days poured on."""
    prepared = prepare(as_casting(demand))
    facts = facts_of(Earliest(prepared), range(len(prepared.units)), lambda line: 0)
    model = hard_model(facts)
    for late in model.late.values():
        model.solver_model.add(late == 0)
    terms = [(set_up[day], count) for (_, day), count in model.mixes.items() if day >= 0]
    for number, unit_facts in facts.units.items():
        due = prepared.problem.lines[prepared.units[number].line].ship_by // DAY
        for place, cell in enumerate(unit_facts.cells):
            terms.append((holding * (due - cell.window), model.pieces[number, place]))
    model.solver_model.minimize(total(terms))
    solved = solve(model, deterministic_seconds=5)
    assert solved.cost == solved.bound  # optimal
    return solved.cost, sorted(day + 1 for _, day in solved.mixes)


def test_the_example_of_wagner_and_whitin_costs_864_with_set_ups_in_six_periods():
    assert least_cost(DEMAND, SET_UP, 1) == (864, [1, 3, 5, 8, 10, 11])


def test_the_example_of_snyder_and_shen_costs_1380():
    """L. V. Snyder and Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd ed. 2019, example 3.9."""
    assert least_cost((90, 120, 80, 70), (500,) * 4, 2) == (1380, [1, 3])


@pytest.mark.parametrize("seed", range(10))
def test_random_demands_cost_what_stockpyl_says(seed):
    rng = random.Random(seed)
    periods = rng.randrange(3, 11)
    demand = [rng.choice((0, rng.randrange(1, 60), rng.randrange(1, 60))) for _ in range(periods)]
    demand[0] = rng.randrange(1, 60)
    set_up, holding = rng.randrange(20, 200), rng.randrange(1, 4)

    _, expected, _, _ = wagner_whitin(periods, holding, set_up, demand)

    assert least_cost(demand, [set_up] * periods, holding)[0] == expected
