import pytest

from production.planning.faults import ProblemFault
from production.planning.problem import CastCount, OutOfMould, Part, Pin, Poured, Step, Window
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article


def poured(quantity=1, line="101", part="body", compound="Quick", poured_id="P1"):
    return Poured(poured_id, compound, "Slate", -30, (CastCount(line, part, quantity),))


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"windows": (Window(0, 60), Window(30, 90))}, "hands.from must be in time order and not before 60"),
        (
            {"windows": (Window(0, 10**6),)},
            "hands.to must be inside the calendar of 43200 minutes, not 1000000.",
        ),
        ({"minutes": 0}, "minutes must be a whole number of at least 1, not 0."),
        ({"compounds": (a_compound(), a_compound())}, "compounds must be named once each, not 'Quick'."),
        ({"moulds": (a_mould(), a_mould())}, "moulds must be named once each, not 'tray'."),
        ({"moulds": ()}, "mould of part body of article Tray must be one of the moulds, not 'tray'."),
        (
            {"compounds": ()},
            "compound of part body of article Tray must be one of the compounds, not 'Quick'.",
        ),
        ({"articles": ()}, "article of line 101 must be one of the articles, not 'Tray'."),
        ({"lines": (a_line(), a_line())}, "orders.id must be named once each, not '101'."),
        (
            {"poured": (poured(line="999"),)},
            "line of a cast in poured P1 must be one of the orders, not '999'.",
        ),
        ({"poured": (poured(part="lid"),)}, "part of line 101 in poured P1 must be one of body, not 'lid'."),
        (
            {"poured": (poured(compound="Slow"),)},
            "compound of poured P1 must be one of the compounds, not 'Slow'.",
        ),
        ({"poured": (poured(), poured())}, "poured.id must be named once each, not 'P1'."),
        ({"poured": (poured(2),)}, "casts in progress of line 101, part body must be at most 1, not 2."),
        (
            {"out_of_mould": (OutOfMould("101", "lid", 1, 0),)},
            "part of line 101 in out_of_mould must be one of body, not 'lid'.",
        ),
        ({"pins": (Pin("Slow", "Slate", 0, 60),)}, "pins.compound must be one of the compounds, not 'Slow'."),
        (
            {"moulds": (a_mould(copies=1, free_at=(30,)),), "poured": (poured(),)},
            "copies of mould tray must be at least the 2 that are in use or damp at the start, not 1.",
        ),
    ],
)
def test_what_does_not_fit_together_is_refused_in_one_sentence(changes, sentence):
    with pytest.raises(ProblemFault) as caught:
        a_problem(**changes)

    assert sentence in str(caught.value)


def test_casts_in_progress_count_over_moulds_and_boards():
    line = a_line(quantity=3)
    out = OutOfMould("101", "body", 2, -60)

    a_problem(line, poured=(poured(1),), out_of_mould=(out,))
    with pytest.raises(ProblemFault, match="at most 3, not 4"):
        a_problem(line, poured=(poured(2),), out_of_mould=(out,))


def test_a_copy_noted_as_free_from_the_start_is_no_copy_in_use():
    a_problem(moulds=(a_mould(copies=2, free_at=(0, 0)),), poured=(poured(),))


def test_pieces_in_progress_name_no_part():
    left_over = an_article(parts=(), steps=())

    a_problem(articles=(left_over,), out_of_mould=(OutOfMould("101", "", 1, -60),))
    with pytest.raises(ProblemFault, match="part of line 101 in out_of_mould"):
        a_problem(articles=(left_over,), out_of_mould=(OutOfMould("101", "body", 1, -60),))


def test_an_unused_part_still_needs_its_mould():
    article = an_article(parts=(Part("body", "tray", 10, "Quick"), Part("lid", "small", 5, "Quick")))

    with pytest.raises(ProblemFault, match="mould of part lid of article Tray"):
        a_problem(articles=(article,))


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"supplies": (Supply("wax", 1), Supply("wax", 2))}, "supplies"),
        ({"compounds": (a_compound(powder="white"),)}, "powder of compound Quick"),
        ({"recipes": (Recipe("Plaster", "Slate", ()),)}, "compound of a recipe"),
        (
            {"recipes": (Recipe("Quick", "Slate", (RecipeNeed("ochre", 0.1),)),)},
            "recipes.needs of Quick in Slate",
        ),
        ({"recipes": (Recipe("Quick", "Slate", ()), Recipe("Quick", "Slate", ()))}, "recipes"),
        (
            {
                "supplies": (Supply("white", 1),),
                "compounds": (a_compound(powder="white"),),
                "recipes": (Recipe("Quick", "Slate", (RecipeNeed("white", 0.1),)),),
            },
            "recipes.needs of Quick in Slate",
        ),
        (
            {"articles": (an_article(steps=(Step("seal", None, 5, needs=(StepNeed("wax", 1),)),)),)},
            "needs of step seal of article Tray",
        ),
        ({"articles": (an_article(pack_needs=(StepNeed("box", 1),)),)}, "pack_needs of article Tray"),
    ],
)
def test_what_draws_on_supplies_names_one_that_there_is(changes, field):
    with pytest.raises(ProblemFault) as caught:
        a_problem(**changes)
    assert caught.value.field == field
