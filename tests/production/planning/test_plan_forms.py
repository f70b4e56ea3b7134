import copy

import pytest

from production.planning.effort import Effort
from production.planning.faults import ProblemFault
from production.planning.forms import problem_from_form
from production.planning.plan_forms import plan_from_form, plan_to_form
from production.planning.solve import plan
from tests.production.planning.generator import a_problem_form

FORM = a_problem_form(12, 1)
PROBLEM = problem_from_form(FORM)
MADE = plan_to_form(plan(PROBLEM, effort=Effort(rules=1)))


def test_the_fields_are_those_of_the_form_and_no_others():
    assert set(MADE) == {"form", "mixes", "opened", "steps"}
    assert MADE["form"] == "casting-plan 1"
    assert set(MADE["mixes"][0]) == {"start", "compound", "colour", "casts", "opened"}
    assert set(MADE["mixes"][0]["casts"][0]) == {"line", "part", "quantity"}
    assert set(MADE["steps"][0]) == {"line", "step", "start"}
    assert set(MADE["opened"]) == {poured["id"] for poured in FORM["poured"]}


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda made: made.update(form="plan"), "form must be \"casting-plan 1\", not 'plan'."),
        (lambda made: made.pop("steps"), "steps must be given, not None."),
        (lambda made: made["mixes"][0].update(start=0.5), "mixes[0].start must be a whole number, not 0.5."),
        (
            lambda made: made["mixes"][0].update(compound="X"),
            "mixes[0].compound must be one of the compounds, not 'X'.",
        ),
        (
            lambda made: made["mixes"][0]["casts"][0].update(line="9"),
            "mixes[0].casts[0].line must be one of the orders",
        ),
        (
            lambda made: made["mixes"][0]["casts"][0].update(part="9"),
            "mixes[0].casts[0].part must be a part of",
        ),
        (
            lambda made: made["mixes"][0]["casts"][0].update(quantity=0),
            "must be a whole number of at least 1, not 0.",
        ),
        (
            lambda made: made["opened"].update(P77=5),
            "opened must be one of the mixes in their moulds, not 'P77'.",
        ),
        (lambda made: made["steps"][0].update(step="polish"), "steps[0].step must be one of"),
    ],
)
def test_a_bad_plan_is_answered_with_one_sentence_that_names_the_field(spoil, sentence):
    made = copy.deepcopy(MADE)

    spoil(made)

    with pytest.raises(ProblemFault) as caught:
        plan_from_form(made, PROBLEM)
    assert sentence in str(caught.value)


def test_a_line_without_packing_is_read_as_not_placed():
    made = copy.deepcopy(MADE)
    made["steps"] = [step for step in made["steps"] if (step["line"], step["step"]) != ("103", "pack")]

    read = plan_from_form(made, PROBLEM)

    assert [line.line for line in read.unplaced] == ["103"]
