"""The planner against theorems of scheduling, brute force beside each."""

import random
from itertools import permutations

import pytest

from production.planning.effort import Effort
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Window
from production.planning.simulate import simulate
from production.planning.solve import plan
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

AT_ONCE = ListRule(10**9, 0, 0.0)
LISTED = Effort(rules=56)


def one_mould_that_never_rests(quantities, due_by):
    """One copy, hands at all hours, no finishing: a line of q pieces keeps the mould for q turns."""
    compound = a_compound(weigh_and_mix_minutes=4, clean_up_minutes=0, open_after_minutes=30, dry_minutes=0)
    article = an_article(steps=(), pack_minutes=0, pack_wait_minutes=0)
    lines = [
        a_line(str(number), quantity=quantity, ship_by=due)
        for number, (quantity, due) in enumerate(zip(quantities, due_by, strict=True))
    ]
    return a_problem(
        *lines,
        minutes=10_000,
        windows=(Window(0, 10_000),),
        compounds=(compound,),
        moulds=(a_mould(copies=1, fill_minutes=1, open_minutes=2, rest_minutes=13),),
        articles=(article,),
    )


TURN = 4 + 1 + 30 + 2 + 13
OUT_BEFORE_TURN_ENDS = 13


def least_greatest_lateness(quantities, due_by):
    """By trying every order: the greatest of (packed - due), as small as it can be."""
    least = None
    for order in permutations(range(len(quantities))):
        ends, greatest = 0, None
        for number in order:
            ends += quantities[number] * TURN
            lateness = ends - OUT_BEFORE_TURN_ENDS - due_by[number]
            greatest = lateness if greatest is None else max(greatest, lateness)
        least = greatest if least is None else min(least, greatest)
    return least


@pytest.mark.parametrize("seed", range(20))
def test_earliest_due_first_makes_the_greatest_lateness_as_small_as_it_can_be(seed):
    """On one machine, earliest due date first minimises the greatest lateness.

    Source: J. R. Jackson, Scheduling a Production Line to Minimize Maximum Tardiness,
    Research Report 43, Management Science Research Project, University of California, Los
    Angeles, 1955 (from memory); here against all 720 orders of six lines on one mould copy.
    """
    rng = random.Random(seed)
    quantities = [rng.randrange(1, 5) for _ in range(6)]
    due_by = [rng.randrange(50, 900) for _ in range(6)]
    problem = one_mould_that_never_rests(quantities, due_by)

    run = simulate(prepare(problem), AT_ONCE)

    greatest = max(packed - line.ship_by for packed, line in zip(run.packed_at, problem.lines, strict=True))
    assert greatest == least_greatest_lateness(quantities, due_by)


def test_what_can_be_in_time_by_jacksons_rule_is_planned_in_time():
    """Lateness may not exceed what every order shows to be needed: due dates at the limit are kept."""
    rng = random.Random(3)
    quantities = [rng.randrange(1, 4) for _ in range(6)]
    due_by = [rng.randrange(50, 600) for _ in range(6)]
    needed = max(0, least_greatest_lateness(quantities, due_by))

    kept = plan(one_mould_that_never_rests(quantities, [due + needed for due in due_by]), effort=LISTED)
    missed = plan(one_mould_that_never_rests(quantities, [due + needed - 1 for due in due_by]), effort=LISTED)

    assert needed > 0
    assert kept.late == ()
    assert len(missed.late) >= 1
