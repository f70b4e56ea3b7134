import copy
import json

import pytest

from production.planning.effort import Effort
from production.planning.faults import ProblemFault
from production.planning.forms import plan_from_form, plan_to_form, problem_from_form, problem_to_form
from production.planning.problem import Receipt, Step
from production.planning.solve import plan
from tests.production.planning.builders import a_compound, a_mould, a_problem, an_article
from tests.production.planning.generator import a_problem_form

FIELDS = {
    "form",
    "minutes",
    "hands",
    "mix",
    "late_step_days",
    "compounds",
    "powder",
    "moulds",
    "articles",
    "orders",
    "poured",
    "out_of_mould",
    "pins",
}


def a_form():
    form = a_problem_form(12, 3)
    form["pins"] = [{"compound": "Quick", "colour": "Fog", "from": 600, "to": 900}]
    form["powder"]["Slow"]["receipts"] = [{"at": 5000, "g": 2500}]
    return form


def test_a_form_read_and_written_is_the_same_form():
    form = a_form()

    assert problem_to_form(problem_from_form(form)) == form


def test_a_form_survives_json():
    form = a_form()

    assert problem_from_form(json.loads(json.dumps(form))) == problem_from_form(form)


def test_the_fields_are_those_of_the_form_and_no_others():
    form = problem_to_form(a_problem())

    assert set(form) == FIELDS
    assert form["form"] == "casting-plan-problem 1"
    assert set(form["orders"][0]) == {"id", "article", "colour", "quantity", "ship_by", "weight"}
    assert set(form["moulds"]["tray"]) == {"copies", "fill_minutes", "open_minutes", "rest_minutes"}
    assert set(form["mix"]) == {"weigh_and_mix_minutes", "clean_up_minutes", "residue_g", "jug_g"}


def test_what_goes_beyond_form_one_comes_back_too():
    problem = a_problem(
        compounds=(a_compound(), a_compound("Slow", jug_g=900, receipts=(Receipt(5, 10.5),))),
        moulds=(a_mould(free_at=(300,)),),
        articles=(an_article(steps=(Step("wash", 30, 0.5, 4), Step("oil", None, 2)), pack_wait_minutes=7),),
    )

    form = json.loads(json.dumps(problem_to_form(problem)))

    assert form["compounds"]["Slow"]["jug_g"] == 900
    assert "jug_g" not in form["compounds"]["Quick"]
    assert problem_from_form(form) == problem


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda form: form.update(form="other 1"), "form must be \"casting-plan-problem 1\", not 'other 1'."),
        (lambda form: form.pop("minutes"), "minutes must be given, not None."),
        (lambda form: form.pop("hands"), "hands must be given, not None."),
        (lambda form: form.update(hands={}), "hands must be a list, not {}."),
        (lambda form: form["hands"][2].pop("to"), "hands[2].to must be given, not None."),
        (lambda form: form["hands"][2].update(to=0), "hands.to of the window from 1980 must be"),
        (lambda form: form["hands"].__setitem__(1, 5), "hands[1] must be an object, not 5."),
        (
            lambda form: form.update(late_step_days="two"),
            "late_step_days must be a number of at least 0, not 'two'.",
        ),
        (lambda form: form["mix"].pop("jug_g"), "mix.jug_g must be given, not None."),
        (lambda form: form["compounds"]["Quick"].pop("dry_hours"), "compounds.Quick.dry_hours must be given"),
        (lambda form: form["powder"].pop("Slow"), "powder.Slow must be given, not None."),
        (
            lambda form: form["moulds"]["pot"].update(copies="four"),
            "moulds.pot.copies must be a whole number, not 'four'.",
        ),
        (
            lambda form: form["articles"]["Tray"].update(coats=1.5),
            "articles.Tray.coats must be a whole number, not 1.5.",
        ),
        (
            lambda form: form["articles"]["Tray"].update(matched="no"),
            "articles.Tray.matched must be true or false",
        ),
        (
            lambda form: form["articles"]["Tray"]["parts"][0].update(ml=-1),
            "articles.Tray.parts[0].ml must be a number",
        ),
        (
            lambda form: form["articles"]["Tray"]["parts"][0].update(mould="x"),
            "mould of part tray of article Tray",
        ),
        (lambda form: form["orders"][3].update(quantity=0), "orders[3]: quantity of line 104 must be"),
        (
            lambda form: form["orders"][3].update(ship_by=None),
            "orders[3].ship_by must be a whole number, not None.",
        ),
        (
            lambda form: form["orders"][3].update(article="Boat"),
            "article of line 104 must be one of the articles",
        ),
        (lambda form: form["pins"][0].update(to=0), "pins.to of the pin from 600"),
        (lambda form: form["out_of_mould"].append({"line": "101"}), "].part must be given, not None."),
    ],
)
def test_a_bad_form_is_answered_with_one_sentence_that_names_the_field(spoil, sentence):
    form = copy.deepcopy(a_form())
    problem_from_form(form)

    spoil(form)

    with pytest.raises(ProblemFault) as caught:
        problem_from_form(form)
    assert sentence in str(caught.value)
    assert str(caught.value).count("must be") == 1


@pytest.mark.parametrize("form", [None, [], "casting-plan-problem 1", 5])
def test_what_is_no_object_is_no_form(form):
    with pytest.raises(ProblemFault, match="the form must be an object"):
        problem_from_form(form)


def test_a_plan_read_back_is_the_plan_but_for_its_reasons():
    problem = problem_from_form(a_form())
    made = plan(problem, effort=Effort(rules=2))

    read = plan_from_form(json.loads(json.dumps(plan_to_form(made))), problem)

    assert (read.mixes, read.openings, read.steps, read.score) == (
        made.mixes,
        made.openings,
        made.steps,
        made.score,
    )
    assert [line.packed_at for line in read.lines] == [line.packed_at for line in made.lines]
