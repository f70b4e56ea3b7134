import dataclasses

import pytest

from production.planning.faults import ProblemFault
from production.planning.problem import (
    Article,
    CastCount,
    Compound,
    Line,
    MouldKind,
    OutOfMould,
    Part,
    Pin,
    Poured,
    Receipt,
    Step,
    Window,
)
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article


@pytest.mark.parametrize(
    ("make", "field", "value"),
    [
        (lambda: Window(-1, 60), "hands.from", -1),
        (lambda: Window(60, 60), "hands.to of the window from 60", 60),
        (lambda: Window(0, 60, -1), "hands.pairs of the window from 0", -1),
        (lambda: Window(0, 60.5), "hands.to of the window from 0", 60.5),
        (lambda: Receipt(0, -5), "receipts.g at 0", -5),
        (lambda: a_compound(working_minutes=0), "working_minutes of compound Quick", 0),
        (lambda: a_compound(powder_share=1.2), "powder_share of compound Quick", 1.2),
        (lambda: a_compound(jug_g=0), "jug_g of compound Quick", 0),
        (lambda: a_compound(slurry_g_per_ml=float("nan")), "slurry_g_per_ml of compound Quick", None),
        (lambda: a_compound(powder_g=float("inf")), "powder opening_g of compound Quick", float("inf")),
        (lambda: a_compound(name=" "), "compounds.name", " "),
        (lambda: a_mould(copies=True), "copies of mould tray", True),
        (lambda: a_mould(rest_minutes="60"), "rest_minutes of mould tray", "60"),
        (lambda: a_mould(free_at=(1.5,)), "free_at of mould tray", 1.5),
        (lambda: Part("body", "tray", 0, "Quick"), "ml of part body", 0),
        (lambda: Part("body", "tray", 10, "Quick", ""), "colour of part body", ""),
        (lambda: Step("coat 1", -5, 1), "wait_minutes of step coat 1", -5),
        (lambda: Step("pack", None, 1), "steps.name", "pack"),
        (lambda: a_line(quantity=0), "quantity of line 101", 0),
        (lambda: a_line(weight=-1), "weight of line 101", -1),
        (lambda: a_line(ship_by="Friday"), "ship_by of line 101", "Friday"),
        (lambda: CastCount("101", "body", 0), "casts.quantity of line 101, part body", 0),
        (lambda: OutOfMould("101", "body", -1, 0), "out_of_mould.quantity of line 101", -1),
        (lambda: Pin("Quick", "Slate", 60, 30), "pins.to of the pin from 60", 30),
    ],
)
def test_a_value_that_cannot_be_meant_is_refused_by_name(make, field, value):
    with pytest.raises(ProblemFault) as caught:
        make()

    assert caught.value.field == field
    if value is not None:
        assert caught.value.value == value
    assert caught.value.message.startswith(f"{field} must be ")
    assert caught.value.message.endswith(".")


def test_parts_of_a_matched_article_are_of_one_compound():
    parts = (Part("body", "tray", 10, "Quick"), Part("lid", "tray", 5, "Slow"))

    Article("Dish", parts, (), 5, matched=False)
    with pytest.raises(ProblemFault, match="of one compound and colour when matched"):
        Article("Dish", parts, (), 5, matched=True)


def test_a_step_cannot_wait_for_drying_where_there_is_nothing_to_dry():
    Article("Coats left", (), (Step("coat 2", 240, 5),), 5)
    with pytest.raises(ProblemFault, match="has no parts to dry"):
        Article("Coats left", (), (Step("coat 2", None, 5),), 5)


def test_a_part_or_step_named_twice_is_refused():
    with pytest.raises(ProblemFault, match="parts of article Tray"):
        an_article(parts=(Part("body", "tray", 10, "Quick"), Part("body", "tray", 5, "Quick")))
    with pytest.raises(ProblemFault, match="steps of article Tray"):
        an_article(steps=(Step("coat", None, 5), Step("coat", 60, 5)))


@pytest.mark.parametrize(
    "kind",
    [Window, Receipt, Compound, MouldKind, Part, Step, Article, Line, CastCount, Poured, OutOfMould, Pin],
)
def test_what_a_problem_is_made_of_cannot_be_changed(kind):
    assert kind.__dataclass_params__.frozen is True


def test_a_problem_finds_its_parts_by_name():
    problem = a_problem(a_line("7"))

    assert problem.line_by_id["7"].article == "Tray"
    assert problem.article_by_name["Tray"].pack_minutes == 10
    assert problem.mould_by_name["tray"].copies == 2
    assert problem.compound_by_name["Quick"].jug_g == 2000
    with pytest.raises(dataclasses.FrozenInstanceError):
        problem.minutes = 5
