"""The binding reason of a late line, found by solving again, where it is known by construction."""

from contextlib import suppress

import pytest

from production.planning.effort import Effort
from production.planning.lifting import CLOSED_DAYS, HANDS, HOURS, MOULD, PINS, POWDER, Limit
from production.planning.list_rule import ListRule
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.problem import Part
from production.planning.reasons import explain
from production.planning.resolving import Resolver, Stopped
from production.planning.simulate import simulate
from production.planning.solve import search
from production.planning.why import CANNOT, NONE, NOT_YET, ONE, SEARCH, TOGETHER, TOO_LATE, Because, Why
from tests.production.planning import late_cases
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

DAY = 1440
EFFORT = Effort(rules=3)


def looked_into(problem, *, run=None, should_stop=None, told=None):
    """A look for the reasons of a problem's late lines, to its end or until it is stopped."""
    run = run or search(prepare(problem), effort=EFFORT)
    resolver = Resolver(run, effort=EFFORT, should_stop=should_stop)
    why = Why(explain(plan_of(run), run), resolver, told)
    with suppress(Stopped):
        why.look()
    return why


def reason_of(problem, line="late", **how):
    return {because.line: because for because in looked_into(problem, **how).reasons}[line]


@pytest.mark.parametrize(
    ("case", "limit"),
    [
        (late_cases.one_mould, Limit(MOULD, "tray")),
        (late_cases.one_pair, Limit(HANDS)),
        (late_cases.late_powder, Limit(POWDER, "Quick")),
        (late_cases.closed_day, Limit(CLOSED_DAYS)),
        (late_cases.a_pin, Limit(PINS, "540 Quick Slate")),
    ],
)
def test_the_one_limit_whose_lifting_brings_a_line_in_time_is_its_reason(case, limit):
    assert reason_of(case()) == Because("late", ONE, (limit,))


def test_where_no_limit_alone_is_enough_those_that_hold_it_together_are_named():
    because = reason_of(late_cases.mould_and_hands())

    assert because.kind == TOGETHER
    assert set(because.limits) == {Limit(MOULD, "tray"), Limit(HANDS)}


def test_a_line_that_is_late_even_alone_is_too_late_already_and_says_when_to_have_poured_it():
    because = reason_of(late_cases.too_late())

    assert because.kind == TOO_LATE
    assert because.earliest_packed == DAY + 750
    # The evening before the first day, as in `test_reasons`.
    assert because.poured_by == -DAY + 1020 - 17


def test_a_line_that_is_in_time_after_a_longer_search_is_held_by_nothing():
    """Poured as late as can be, the second of two turns is late; poured at once, both are in time."""
    lines = a_line("first", ship_by=10 * DAY), a_line("late", colour="Fog", ship_by=10 * DAY + 1)
    problem = a_problem(*lines, moulds=(a_mould(copies=1, rest_minutes=5 * DAY),))
    lazy = simulate(prepare(problem), ListRule(0, 0, 0.0))
    assert plan_of(lazy).late

    assert [because.kind for because in looked_into(problem, run=lazy).reasons] == [SEARCH]


def test_a_piece_too_big_for_the_jug_needs_no_solve():
    why = looked_into(a_problem(a_line("late"), compounds=(a_compound(jug_g=240),)))

    assert why.reasons == (Because("late", CANNOT, (Limit("jug"),)),)


def test_a_line_that_nothing_brings_in_time_says_so():
    """Powder is what it waits for; were hands all that could be lifted, nothing would be found."""
    run = search(prepare(late_cases.late_powder()), effort=EFFORT)
    why = Why(explain(plan_of(run), run), Resolver(run, effort=EFFORT))
    why.limits["late"] = (Limit(HANDS), Limit(HOURS))

    why.look()

    assert why.reasons == (Because("late", NONE),)


def test_what_is_not_looked_into_yet_says_so_and_facts_are_there_at_once():
    problem = a_problem(
        a_line("late", ship_by=DAY + 720),
        a_line("held", article="Painted", ship_by=1020),
        a_line("held too", article="Painted", ship_by=1021),
        articles=(an_article(), late_cases.PAINTED),
    )

    kinds = {one.line: one.kind for one in looked_into(problem, should_stop=lambda: True).reasons}

    assert kinds.pop("late") == TOO_LATE
    assert kinds
    assert set(kinds.values()) == {NOT_YET}


def test_a_stop_between_solves_keeps_what_was_found():
    told = []
    # Stopped after the first limit, which is the one it waited for.
    because = reason_of(
        late_cases.one_mould(),
        should_stop=lambda: bool(told) and told[-1] >= 2,
        told=lambda done, of: told.append(done),
    )

    assert because in (Because("late", ONE, (Limit(MOULD, "tray"),)), Because("late", NOT_YET))
    assert because.kind == ONE


def test_one_solve_answers_for_all_lines_that_meet_a_limit():
    trays = [a_line(f"tray {n}", colour=f"Colour {n}", ship_by=2 * DAY + n) for n in range(6)]
    why = looked_into(a_problem(*trays, moulds=(a_mould(copies=1, rest_minutes=2 * DAY),)))

    assert len(why.late) == 5
    assert {because.limits for because in why.reasons} == {(Limit(MOULD, "tray"),)}
    # Unchanged, mould, hands, hours; nothing more for so many lines.
    assert why.resolver.solves == 4


def test_moulds_are_not_lifted_one_by_one_where_all_of_them_together_change_nothing():
    """A box of four parts, one copy of each mould; packing it takes a whole day that others want too."""
    parts = tuple(Part(f"part {n}", f"mould {n}", 100, "Quick") for n in range(4))
    box = an_article("Box", parts=parts, pack_minutes=470)
    due = 4 * DAY + 1020
    problem = a_problem(
        *(
            a_line(f"painted {n}", article="Painted", ship_by=due + n, not_before=DAY + 1020)
            for n in range(3)
        ),
        a_line("late", article="Box", ship_by=due + 400),
        a_line("far", article="Box", colour="Fog", ship_by=20 * DAY),
        moulds=tuple(a_mould(f"mould {n}", copies=1) for n in range(4)),
        articles=(box, late_cases.PAINTED),
    )

    why = looked_into(problem)

    assert why.reasons[0].limits in ((Limit(HANDS),), (Limit(HOURS),))
    assert len([limit for limit in why.limits["late"] if limit.kind == MOULD]) == 4
    # Unchanged, all moulds, hands, hours.
    assert why.resolver.solves == 4


def test_nothing_late_needs_no_solve():
    why = looked_into(a_problem())

    assert (why.reasons, why.resolver.solves) == ((), 0)


def test_a_wish_is_never_late_and_needs_no_reason():
    assert looked_into(a_problem(a_line("late", ship_by=0, weight=0))).reasons == ()
