"""A malformed plan is refused with the path of the field and what is wrong with it."""

import pytest

from production.checking.places import Malformed
from production.checking.plan_file import read_plan
from production.checking.problem_file import read_problem
from tests.production.checking.test_problem_file import POURED, put
from tests.production.checking.test_scoring import PLAN
from tests.production.management.test_plan import PROBLEM

ASKED = read_problem({**PROBLEM, "poured": [put(POURED, ("casts", 0, "quantity"), 1)]})


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        (("form",), "casting-plan-problem 1", 'form must be "casting-plan 1"'),
        (("mixes", 0, "casts", 0, "quantity"), 0, "mixes[0].casts[0].quantity must be a whole"),
        (("mixes", 0, "casts", 0, "line"), "2", "mixes[0].casts[0].line must be one of the orders"),
        (
            ("mixes", 1, "casts", 0, "part"),
            "lid",
            "mixes[0].casts[0].part must be one of the parts",
        ),
        (("mixes", 1, "compound"), "slow", "mixes[1].compound must be one of the compounds"),
        (("mixes", 1, "start"), "soon", "mixes[1].start must be a whole number"),
        (("steps", 0, "step"), "glue", "steps[0].step must be one of the steps of line 1"),
        (("steps", 0, "start"), KeyError, "steps[0].start must be given"),
        (("opened",), {"P7": 4}, "opened.P7 must be of a mix that is in its moulds"),
        (("unplaced",), ["9"], "unplaced[0] must be one of the orders"),
        (("mixes",), None, "mixes must be a list, not null."),
    ],
)
def test_a_wrong_field_is_named_with_what_is_wrong(path, value, says):
    with pytest.raises(Malformed) as refused:
        read_plan(put(PLAN, path, value), ASKED)

    assert says in refused.value.message


def test_a_sound_plan_is_read():
    read = read_plan({**PLAN, "opened": {"P1": 500}}, ASKED)

    assert read.opened == {"P1": 500}
    assert [mix.place for mix in read.mixes] == ["mixes[0]", "mixes[1]"]
