import copy
import json
from dataclasses import replace

import pytest

from production.planning.faults import ProblemFault
from production.planning.forms import problem_from_form, problem_to_form
from production.planning.problem import Step
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply, SupplyReceipt
from tests.production.planning.builders import a_compound, a_mould, a_problem, an_article


def a_supplied_problem():
    return a_problem(
        compounds=(
            a_compound(powder="white", powder_g=0),
            replace(a_compound("Slow"), powder="white", powder_g=0),
            a_compound("Own"),
        ),
        moulds=(a_mould(open_after_minutes=95),),
        articles=(
            an_article(
                steps=(Step("seal", None, 5, 2, needs=(StepNeed("sealer", 1.5, 4),)),),
                pack_needs=(StepNeed("box", 1),),
            ),
        ),
        supplies=(
            Supply("white", 900.5, (SupplyReceipt(600, 2500), SupplyReceipt(-5, 1))),
            Supply("ochre", 12),
            Supply("sealer", 0, (SupplyReceipt(1440, 250),)),
            Supply("box", 3),
        ),
        recipes=(Recipe("Quick", "Slate", (RecipeNeed("ochre", 0.02),)), Recipe("Slow", "Slate", ())),
    )


def test_supplies_recipes_and_needs_come_back_as_they_were_written():
    problem = a_supplied_problem()

    form = json.loads(json.dumps(problem_to_form(problem)))

    assert form["supplies"]["sealer"] == {"opening": 0, "receipts": [{"at": 1440, "amount": 250}]}
    assert form["compounds"]["Quick"]["powder"] == "white"
    assert "powder" not in form["compounds"]["Own"]
    assert form["recipes"][0] == {"compound": "Quick", "colour": "Slate", "needs": {"ochre": 0.02}}
    assert form["articles"]["Tray"]["steps"][0]["needs"] == {"sealer": {"each": 1.5, "per_batch": 4}}
    assert form["articles"]["Tray"]["pack_needs"] == {"box": {"each": 1, "per_batch": 0}}
    assert form["moulds"]["tray"]["open_after_minutes"] == 95
    assert problem_from_form(form) == problem


def test_a_compound_that_draws_on_a_supply_needs_no_powder_of_its_own():
    form = problem_to_form(a_supplied_problem())
    del form["powder"]["Quick"]
    del form["articles"]["Tray"]["pack_needs"]["box"]["per_batch"]
    del form["supplies"]["box"]["receipts"]

    assert problem_from_form(form) == a_supplied_problem()


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda form: form.update(supplies=[]), "supplies must be an object, not []."),
        (lambda form: form["supplies"]["wax"].pop("opening"), "supplies.wax.opening must be given"),
        (
            lambda form: form["supplies"]["wax"].update(receipts=[{"at": 5}]),
            "supplies.wax.receipts[0].amount must be given",
        ),
        (
            lambda form: form["supplies"]["wax"].update(opening=-1),
            "supplies.wax.opening must be a number of at least 0",
        ),
        (lambda form: form["recipes"][0].update(needs={"wax": -1}), "recipes[0].needs.wax must be a number"),
        (lambda form: form["recipes"][0].pop("colour"), "recipes[0].colour must be given"),
        (
            lambda form: form["articles"]["Tray"]["pack_needs"]["wax"].update(each="one"),
            "articles.Tray.pack_needs.wax.each must be a number",
        ),
        (
            lambda form: form["moulds"]["tray"].update(open_after_minutes=-5),
            "open_after_minutes of mould tray must be a whole number of at least 0",
        ),
        (lambda form: form["compounds"]["Quick"].update(powder=5.5), "compounds.Quick.powder must be a name"),
        (
            lambda form: form["compounds"]["Quick"].update(powder="x"),
            "powder of compound Quick must be one of the supplies",
        ),
    ],
)
def test_a_bad_supply_is_answered_with_the_path_of_its_field(spoil, sentence):
    form = problem_to_form(
        a_problem(
            supplies=(Supply("wax", 1),),
            recipes=(Recipe("Quick", "Slate", ()),),
            articles=(an_article(pack_needs=(StepNeed("wax", 1),)),),
        )
    )
    problem_from_form(copy.deepcopy(form))

    spoil(form)

    with pytest.raises(ProblemFault) as caught:
        problem_from_form(form)
    assert sentence in str(caught.value)
