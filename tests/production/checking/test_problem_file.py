"""A malformed or hostile problem is refused with the path of the field and what is wrong with it."""

import copy
import json
import time

import pytest

from production.checking.limits import MOST_BY_HAND, MOST_LINES
from production.checking.places import Malformed
from production.checking.problem_file import read_problem
from tests.production.management.test_plan import PROBLEM
from tests.production.planning.generator import a_problem_form


def put(form, path, value):
    """The form with one field changed; path like ("orders", 0, "quantity")."""
    form = copy.deepcopy(form)
    place = form
    for name in path[:-1]:
        place = place[name]
    if value is KeyError:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return form


ORDER = PROBLEM["orders"][0]
POURED = {
    "id": "P1",
    "compound": "quick",
    "colour": "Rust",
    "filled_at": -30,
    "casts": [{"line": "1", "part": "tray", "quantity": 3}],
}
WRONG = [
    (("orders", 0, "quantity"), -2, "orders[0].quantity must be a whole number from 1 to 10000, not -2."),
    (("orders", 0, "quantity"), 1.5, "orders[0].quantity must be a whole number"),
    (("orders", 0, "quantity"), True, "orders[0].quantity must be a whole number"),
    (("orders", 0, "quantity"), KeyError, "orders[0].quantity must be given, not left out."),
    (("orders", 0, "quantity"), 10**9, "orders[0].quantity"),
    (("orders", 0, "ship_by"), 10**400, "not a number of more than 30 figures"),
    (("orders", 0, "weight"), float("nan"), "orders[0].weight"),
    (("orders", 0, "weight"), float("inf"), "orders[0].weight"),
    (("orders", 0, "article"), "Jar", "orders[0].article must be one of the articles, not 'Jar'."),
    (("orders", 0, "id"), "  ", "orders[0].id must be a name"),
    (("orders", 0, "colour"), "x" * 201, "orders[0].colour must be a name of at most 200 letters"),
    (("orders",), [ORDER, ORDER], "orders[1].id must be a name that comes once"),
    (("orders",), {"1": ORDER}, "orders must be a list, not an object."),
    (("hands", 2, "pairs"), -1, "hands[2].pairs must be a whole number from 0 to 50"),
    (("hands", 2, "from"), 1440 + 500, "hands[2].from must be not before 2460"),
    (("hands", 2, "to"), 2 * 1440, "hands[2].to must be after from"),
    (("hands", 13, "to"), 15 * 1440, "hands[13].to must be a whole number from 0 to 20160"),
    (("moulds", "tray", "copies"), 10**9, "moulds.tray.copies must be a whole number from 0 to 10000"),
    (("moulds", "tray", "fill_minutes"), "two", "moulds.tray.fill_minutes must be a number"),
    (("compounds", "quick", "powder_share"), 1.2, "compounds.quick.powder_share"),
    (
        ("compounds", "quick", "slurry_g_per_ml"),
        0,
        "slurry_g_per_ml must be a number above 0",
    ),
    (("compounds", "quick", "powder"), "grey", "compounds.quick.powder must be one of the supplies"),
    (("powder", "quick", "receipts"), [{"at": 1, "g": -5}], "powder.quick.receipts[0].g"),
    (("articles", "Ferry tray", "parts", 0, "mould"), "jar", "articles.Ferry tray.parts[0].mould"),
    (("articles", "Ferry tray", "coats"), 10**6, "articles.Ferry tray.coats"),
    (("articles", "Ferry tray", "pack_needs"), {"box": {"each": 1}}, "articles.Ferry tray.pack_needs.box"),
    (("minutes",), 10**12, "minutes must be a whole number from 1 to"),
    (("late_step_days",), -1, "late_step_days must be a number from 0"),
    (("form",), "another", 'form must be "casting-plan-problem 1"'),
    (("pins",), [{"compound": "quick", "colour": "Rust", "from": 9, "to": 3}], "pins[0].to"),
    (("poured",), [POURED], "moulds.tray.copies must be at least the 3 in use or damp now, not 2."),
    (("poured",), [put(POURED, ("casts", 0, "part"), "lid")], "poured[0].casts[0].part"),
    (("out_of_mould",), [{"line": "1", "part": "tray", "quantity": 5, "opened_at": 0}], "orders[0].quantity"),
    (("recipes",), [{"compound": "quick", "colour": "Rust", "needs": {"red": 1}}], "recipes[0].needs.red"),
    (("orders",), [[[[[]]]]], "orders[0] must be an object, not a list."),
]


@pytest.mark.parametrize(("path", "value", "says"), WRONG, ids=[f"{i}" for i in range(len(WRONG))])
def test_a_wrong_field_is_named_with_what_is_wrong(path, value, says):
    with pytest.raises(Malformed) as refused:
        read_problem(put(PROBLEM, path, value))

    assert says in refused.value.message
    assert len(refused.value.message) < 300


def test_the_sound_problem_is_read():
    asked = read_problem(PROBLEM)

    assert asked.lines["1"].quantity == 4
    assert [task.name for task in asked.articles["Ferry tray"].tasks] == ["coat 1", "pack"]


@pytest.mark.parametrize(
    ("name", "rows", "most"),
    [("orders", [ORDER], MOST_LINES), ("pins", [{}], MOST_BY_HAND), ("no_pours", [{}], MOST_BY_HAND)],
)
def test_a_list_that_is_too_long_is_refused_before_it_is_read(name, rows, most):
    hostile = {**PROBLEM, name: rows * 1_000_000}

    started = time.process_time()
    with pytest.raises(Malformed, match=f"{name} must be a list of at most {most}, not one of 1000000"):
        read_problem(hostile)

    assert time.process_time() - started < 0.5


def test_fields_nobody_asked_for_do_no_harm():
    assert read_problem({**PROBLEM, "remark": json.loads("[" * 200 + "]" * 200)})


def test_the_largest_problem_that_is_timed_is_within_the_limits():
    assert len(read_problem(a_problem_form(5000, 1)).lines) == 5000


def places_in(form, path=()):
    """The path of every value of a form, of lists the first two."""
    if path:
        yield path
    inside = form.items() if isinstance(form, dict) else enumerate(form[:2]) if isinstance(form, list) else ()
    for name, value in inside:
        yield from places_in(value, (*path, name))


HOSTILE = (-1, 10**12, 10**400, float("nan"), float("inf"), True, None, "x" * 5000, "\x00", [[]], {"a": 1})


def test_whatever_stands_anywhere_is_read_or_refused_with_a_path_and_never_anything_else():
    refused = 0
    barred = {"compound": None, "colour": "Fog", "from": 0, "to": 1440}
    form = {**PROBLEM, "pins": [{**barred, "compound": "quick"}], "no_pours": [barred]}
    for path in places_in(form):
        for value in HOSTILE:
            try:
                read_problem(put(form, path, value))
            except Malformed as fault:
                refused += 1
                assert fault.message.split(" ", 1)[0].strip(".:")
                assert len(fault.message) < 400
    assert refused > 400
