"""A promise leaves the plan as it is, says what limits it, and insisting says whom it costs."""

from dataclasses import replace

import pytest

from production.planning.calm import Keep, replayed
from production.planning.forms import problem_from_form
from production.planning.lifting import HANDS, HOURS, MOULD, POWDER, Limit
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Problem, Receipt
from production.planning.promise import ITSELF, earliest_ship_by, pushed_back_by
from production.planning.simulate import simulate
from production.planning.solution import days_late
from tests.bench.load import a_load_form
from tests.production.planning.builders import DAY, a_compound, a_line, a_mould, a_problem, working_days
from tests.production.planning.test_calm import keep_of

RULE = ListRule(3 * DAY, 5 * DAY, 0.0)


def plan_in_hand(problem: Problem) -> Keep:
    return keep_of(simulate(prepare(problem), RULE))


def with_new(problem: Problem, **changes: object) -> Problem:
    new = replace(problem.lines[0], id="new", ship_by=problem.minutes)
    return replace(problem, lines=(*problem.lines, replace(new, **changes)))  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(3))
def test_nothing_of_the_plan_is_later_for_a_promise(seed: int) -> None:
    problem = problem_from_form(a_load_form(40, seed, 0.8))
    keep = plan_in_hand(problem)
    more = with_new(problem, quantity=2)

    promised = earliest_ship_by(more, keep, {"new"}).all_packed_at

    assert promised is not None
    # What is promised holds when it is taken at its word: the old plan goes on, the new line is in time.
    insisted = pushed_back_by(with_new(problem, quantity=2, ship_by=promised), keep, {"new"})
    assert insisted.days_late == 0
    assert insisted.pushed == ()


def test_a_piece_that_needs_its_own_time_only_is_limited_by_nothing_else() -> None:
    promise = earliest_ship_by(a_problem(a_line("new")), Keep((), 0), {"new"})

    assert promise.limit == ITSELF
    # Mixed Monday 09:00, filled 09:12, set and opened 10:12 to 10:15, dry and coated Tuesday from 10:15,
    # cured two hours, packed in ten minutes.
    assert promise.packed_at == {"new": DAY + 10 * 60 + 15 + 5 + 120 + 10}


def test_moulds_are_named_where_more_copies_would_make_it_sooner() -> None:
    problem = a_problem(
        a_line("old", quantity=6, ship_by=4 * DAY),
        moulds=(a_mould(copies=1, rest_minutes=20 * 60),),
    )

    promise = earliest_ship_by(with_new(problem, quantity=2), plan_in_hand(problem), {"new"})

    assert promise.limit == Limit(MOULD, "tray")


def test_powder_is_named_where_a_delivery_is_awaited() -> None:
    compound = a_compound(powder_g=160, receipts=(Receipt(8 * DAY, 1000),))
    problem = a_problem(a_line("old", ship_by=4 * DAY), compounds=(compound,))

    promise = earliest_ship_by(with_new(problem), plan_in_hand(problem), {"new"})

    assert promise.limit == Limit(POWDER, "Quick")
    assert promise.all_packed_at is not None
    assert promise.all_packed_at > 8 * DAY


def test_hands_are_named_where_every_hour_is_taken() -> None:
    windows = working_days(30, opens=600, closes=640)
    lines = [a_line(str(number), colour=f"Colour {number}", ship_by=3 * DAY) for number in range(8)]
    problem = a_problem(*lines, windows=windows, moulds=(a_mould(copies=30),))

    promise = earliest_ship_by(with_new(problem), plan_in_hand(problem), {"new"})

    assert promise.limit in (Limit(HANDS), Limit(HOURS))


def test_what_the_calendar_cannot_hold_is_not_promised() -> None:
    problem = a_problem(windows=working_days(1))

    promise = earliest_ship_by(with_new(problem), plan_in_hand(problem), {"new"})

    assert promise.packed_at == {"new": None}
    assert promise.all_packed_at is None


def test_insisting_names_the_lines_that_are_later_for_it_and_by_how_much() -> None:
    problem = a_problem(
        a_line("old", quantity=3, ship_by=4 * DAY),
        moulds=(a_mould(copies=1, rest_minutes=20 * 60),),
    )
    keep = plan_in_hand(problem)
    assert replayed(prepare(problem), keep).score.points == 0

    insisted = pushed_back_by(with_new(problem, quantity=1, ship_by=2 * DAY), keep, {"new"})

    assert insisted.days_late == 0
    assert [(one.line, one.before) for one in insisted.pushed] == [("old", 0)]
    assert insisted.pushed[0].after is not None
    assert insisted.pushed[0].after >= 1


def test_a_day_that_cannot_be_kept_says_by_how_much_at_best() -> None:
    problem = a_problem(a_line("old", ship_by=6 * DAY))

    insisted = pushed_back_by(with_new(problem, ship_by=DAY), plan_in_hand(problem), {"new"})

    assert insisted.days_late == days_late(DAY + 10 * 60 + 15 + 5 + 120 + 10, DAY)
    assert insisted.pushed == ()


def test_wishes_are_not_pushed_back_because_nobody_waits_for_them() -> None:
    problem = a_problem(
        a_line("wish", quantity=3, ship_by=4 * DAY, weight=0),
        moulds=(a_mould(copies=1, rest_minutes=20 * 60),),
    )

    insisted = pushed_back_by(
        with_new(problem, quantity=1, ship_by=2 * DAY, weight=1), plan_in_hand(problem), {"new"}
    )

    assert insisted.pushed == ()
