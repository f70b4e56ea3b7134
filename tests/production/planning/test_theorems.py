"""The planner against theorems of scheduling, brute force beside each."""

import random
from dataclasses import replace
from itertools import permutations

import pytest

from production.planning.bounds import lower_bounds
from production.planning.effort import Effort
from production.planning.forms import problem_from_form
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Window
from production.planning.simulate import simulate
from production.planning.solve import plan
from tests.production.planning import exact, exhaustive
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article
from tests.production.planning.generator import a_tiny_form

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


def least_late(quantities, due_by):
    """By trying every order: how few lines are late."""
    least = len(quantities)
    for order in permutations(range(len(quantities))):
        ends, late = 0, 0
        for number in order:
            ends += quantities[number] * TURN
            late += ends - OUT_BEFORE_TURN_ENDS > due_by[number]
        least = min(least, late)
    return least


def late_by_moore(quantities, due_by):
    """Moore's algorithm: in order of due date; at each late line the longest so far is let go."""
    kept, ends, late = [], 0, 0
    for due, quantity in sorted(zip(due_by, quantities, strict=True)):
        kept.append(quantity)
        ends += quantity * TURN
        if ends - OUT_BEFORE_TURN_ENDS > due:
            longest = max(kept)
            kept.remove(longest)
            ends -= longest * TURN
            late += 1
    return late


@pytest.mark.parametrize("seed", range(12))
def test_as_few_lines_are_late_as_moores_algorithm_makes(seed):
    """On one machine, how few jobs can be late.

    Source: J. M. Moore, An n Job, One Machine Sequencing Algorithm for Minimizing the Number of Late Jobs,
    Management Science 15 (1968) 102-109 (from memory); here against all 720 orders as well.
    """
    rng = random.Random(seed)
    quantities = [rng.randrange(1, 5) for _ in range(6)]
    due_by = [rng.randrange(50, 900) for _ in range(6)]
    fewest = least_late(quantities, due_by)
    problem = one_mould_that_never_rests(quantities, due_by)
    # A line costs 12,000 for being late at all, whatever its pieces, and little for each day.
    lines = tuple(replace(line, weight=12 / line.quantity) for line in problem.lines)
    problem = replace(problem, lines=lines, late_step_days=1000)

    made = plan(problem, effort=Effort(rules=4, nudge_tries=250))
    prepared = prepare(problem)
    bounds = lower_bounds(prepared, simulate(prepared, AT_ONCE), deterministic_seconds=0.5)

    assert late_by_moore(quantities, due_by) == fewest
    assert len(made.late) == fewest
    assert bounds.points <= made.score.points


@pytest.mark.parametrize("seed", range(1, 10))
def test_the_model_of_every_minute_finds_what_trying_everything_finds(seed):
    form = a_tiny_form(seed)

    assert exact.least_points_and_mixes(form, days=9) == exhaustive.least_points_and_mixes(form)


@pytest.mark.parametrize("seed", (1, 3, 6, 8))
def test_the_planner_finds_what_the_model_of_every_minute_finds(seed):
    """Four to six lines: too many to try everything."""
    form, more = a_tiny_form(seed), a_tiny_form(seed + 50)
    form["orders"] += [{**line, "id": f"more {line['id']}"} for line in more["orders"]]

    made = plan(
        problem_from_form(form), effort=Effort(rules=56, nudge_tries=300, move_tries=300, bound_seconds=1)
    )

    points, mixes = exact.least_points_and_mixes(form, days=9)
    assert (made.score.points, made.score.mixes) == (points, mixes)
    assert made.bounds is not None and made.bounds.points <= points
