import pytest

from production.planning.effort import Effort
from production.planning.forms import problem_from_form
from production.planning.forward import earliest_packed, packed_alone
from production.planning.prepare import prepare
from production.planning.problem import CastCount, OutOfMould, Poured
from production.planning.solve import plan
from tests.production.planning.builders import a_line, a_mould, a_problem
from tests.production.planning.generator import a_problem_form

DAY = 1440


def test_one_piece_alone_is_packed_as_soon_as_its_waits_allow():
    """09:00 pour (10 + 2), set 60, open 3 at 10:12, dry a day, coat 5 at 10:15, 2 h, pack 10 at 12:20."""
    problem = a_problem()

    assert earliest_packed(prepare(problem), 0) == DAY + 750
    assert packed_alone(problem, problem.lines[0]) == DAY + 750


def test_more_pieces_than_copies_take_as_many_turns():
    one_turn = earliest_packed(prepare(a_problem(a_line(quantity=2))), 0)
    two_turns = earliest_packed(prepare(a_problem(a_line(quantity=4))), 0)

    # A further turn: pour 12 (one fill at least), set 60, open 3, rest 60; and two more coats of 5.
    assert two_turns - one_turn == 135 + 2 * 5


def test_what_is_in_moulds_or_on_boards_must_still_dry():
    poured = Poured("P1", "Quick", "Slate", 500, (CastCount("101", "body", 1),))
    out = OutOfMould("101", "body", 1, -600)

    assert earliest_packed(prepare(a_problem(poured=(poured,))), 0) == DAY + 563 + 5 + 120 + 10
    assert earliest_packed(prepare(a_problem(out_of_mould=(out,))), 0) == 840 + 5 + 120 + 10


def test_without_time_for_a_task_there_is_no_earliest_minute():
    assert earliest_packed(prepare(a_problem(windows=())), 0) is None
    assert packed_alone(a_problem(windows=()), a_line()) is None


def test_copies_and_powder_of_the_day_do_not_count_alone():
    busy = a_problem(moulds=(a_mould(free_at=(5 * DAY, 5 * DAY)),))

    assert packed_alone(busy, busy.lines[0]) == DAY + 750


@pytest.mark.parametrize("seed", range(8))
def test_no_plan_packs_a_line_before_its_earliest_minute(seed):
    problem = problem_from_form(a_problem_form(25, seed))
    prepared = prepare(problem)

    made = plan(problem, effort=Effort(rules=4))

    for number, line in enumerate(made.lines):
        earliest = earliest_packed(prepared, number)
        assert earliest <= line.packed_at
        assert earliest <= packed_alone(problem, problem.lines[number])
