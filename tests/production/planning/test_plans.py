from dataclasses import replace

from production.planning.forms import problem_from_form
from production.planning.list_rule import ListRule
from production.planning.plans import given_mixes_of, plan_of
from production.planning.portfolio import GRID
from production.planning.prepare import prepare
from production.planning.problem import Part
from production.planning.simulate import simulate
from tests.production.planning.builders import a_line, a_mould, a_problem, an_article
from tests.production.planning.generator import a_problem_form

PARTS = (Part("body", "tray", 100, "Quick"), Part("lid", "small", 50, "Quick"))


def lidded():
    article = an_article(parts=PARTS, matched=True)
    return a_problem(a_line(quantity=2), articles=(article,), moulds=(a_mould(), a_mould("small")))


def test_a_plan_speaks_the_problems_names():
    plan = plan_of(simulate(prepare(lidded()), ListRule(10**6, 0, 0.0)))

    (mix,) = plan.mixes
    assert (mix.compound, mix.colour) == ("Quick", "Slate")
    assert [(cast.part, cast.quantity, cast.mould) for cast in mix.casts] == [
        ("body", 2, "tray"),
        ("lid", 2, "small"),
    ]
    assert [step.step for step in plan.steps] == ["coat 1", "pack"]
    assert plan.lines[0].packed_at == plan.steps[-1].end
    assert plan.lines[0].days_late == 0


def test_a_plan_given_back_to_the_simulator_is_the_same_plan():
    problem = problem_from_form(a_problem_form(40, 2, slack=0.5))
    prepared = prepare(problem)
    first = simulate(prepared, GRID[0])

    again = simulate(prepared, GRID[0], given=given_mixes_of(prepared, plan_of(first)))

    assert plan_of(again) == plan_of(first)


def test_pieces_that_are_no_longer_wanted_fall_out_of_a_plan_given_back():
    plan = plan_of(simulate(prepare(lidded()), ListRule(10**6, 0, 0.0)))
    fewer = prepare(replace(lidded(), lines=(a_line(quantity=1),)))
    other = prepare(a_problem(a_line("999")))

    run = simulate(fewer, ListRule(10**6, 0, 0.0), given=given_mixes_of(fewer, plan))

    assert [mix.takes for mix in run.mixes] == [((0, 1),)]
    assert given_mixes_of(other, plan) == []


def test_a_plan_says_which_rule_and_urgency_made_it_and_is_made_again_by_them():
    prepared = prepare(problem_from_form(a_problem_form(12, 4, slack=0.4)))
    offsets = [-600 if number % 3 == 0 else 0 for number in range(12)]
    run = simulate(prepared, ListRule(5 * 1440, 1440, 0.0), offsets=offsets)

    plan = plan_of(run)

    assert [line for line, minutes in plan.urgency] == ["101", "104", "107", "110"]
    assert {minutes for _, minutes in plan.urgency} == {-600}
    urgency = dict(plan.urgency)
    again = simulate(
        prepared,
        plan.rule,
        offsets=[urgency.get(line.id, 0) for line in prepared.problem.lines],
        given=given_mixes_of(prepared, plan),
    )
    assert plan_of(again) == plan
