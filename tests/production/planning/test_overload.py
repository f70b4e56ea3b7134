"""The bound by overload: below every plan and the best of all, and as high as reckoned by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.planning.counting import sure_points
from production.planning.demands import demands_of
from production.planning.forms import problem_from_form
from production.planning.overload import overload, row_of
from production.planning.overload_whole import overload_in_whole
from production.planning.portfolio import GRID
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from production.planning.turns import NEVER, Earliest, late_points
from tests.bench.load import a_load_form
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article
from tests.production.planning.exhaustive import least_points_and_mixes
from tests.production.planning.generator import a_problem_form, a_tiny_form

DAY = 1440
KINDS = (
    {"slack": 0.3},
    {"slack": 0.4, "pairs": 2},
    {"days": 16, "slack": 0.3},
    {"closed_days": tuple(range(7, 15)), "slack": 0.4},
)


def long_packing(*lines, **changes):
    """Trays that are dry at once and packed in 200 minutes, two a day at most."""
    return a_problem(
        *lines,
        articles=(an_article(steps=(), pack_minutes=200, pack_wait_minutes=0),),
        compounds=(a_compound(dry_minutes=0),),
        moulds=(a_mould(copies=9),),
        **changes,
    )


def bounds_of(prepared):
    """Points proven in fractions and in whole lines, the sure ones among them."""
    earliest = Earliest(prepared)
    sure, demands = sum(sure_points(prepared, earliest)), demands_of(earliest)
    known = overload(demands)
    whole = overload_in_whole(demands, known, deterministic_seconds=0.5)
    assert whole.points >= known.points
    return sure + known.points, sure + whole.points


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(KINDS), st.sampled_from(GRID))
def test_a_real_plan_keeps_every_row_and_costs_no_less_than_its_steps(seed, kind, rule):
    prepared = prepare(problem_from_form(a_problem_form(14, seed, **kind)))
    run, earliest = simulate(prepared, rule), Earliest(prepared)
    demands, sure = demands_of(earliest), sure_points(prepared, earliest)
    taken = {}
    for line, lateness in demands.lateness.items():
        packed = run.packed_at[line]
        days = NEVER if packed is None else earliest.days_late(line, packed)
        for step, least in enumerate(lateness.days[1:], start=1):
            taken[line, step] = days >= least
        steps = sum(adds for step, adds in enumerate(lateness.adds, start=1) if taken[line, step])
        assert steps <= late_points(prepared, line, days) - sure[line] + 1e-6

    for limit in demands.limits:
        for last in range(demands.windows):
            for first in range(last + 1):
                row = row_of(demands, limit, first, last)
                assert (
                    sum(factor * taken[late] for late, factor in row.factors.items()) >= row.at_least - 1e-6
                )


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_is_below_the_best_of_all_plans(seed):
    form = a_tiny_form(seed)

    in_fractions, in_whole = bounds_of(prepare(problem_from_form(form)))

    assert max(in_fractions, in_whole) <= least_points_and_mixes(form)[0] + 1e-6


def test_what_is_too_much_for_one_day_is_late_as_cheaply_as_can_be():
    # A day of 480 minutes, 200 to pack each: in fractions all but 480 minutes' worth is put off, the
    # cheaper first; in whole lines the two cheapest of four are a day late.
    lines = [a_line(str(n), ship_by=1020, weight=n + 1) for n in range(4)]

    in_fractions, in_whole = bounds_of(prepare(long_packing(*lines)))

    assert in_whole == (1 + 2) * (2 + 1)
    assert 0 < in_fractions <= in_whole


def test_what_does_not_fit_for_days_is_late_for_days():
    # Twelve lines of 207.5 minutes are due on a day of 480: by its end and that of the days after it there
    # are hours for 2, 4, 6, 9, 11 and 12.
    lines = [a_line(str(n), ship_by=1020) for n in range(12)]

    _, in_whole = bounds_of(prepare(long_packing(*lines)))

    assert in_whole == 2 * 3 + 2 * 4 + 3 * 5 + 2 * 6 + 1 * 7


def test_lines_known_to_cost_more_together_cost_more():
    lines = [a_line(str(n), ship_by=1020) for n in range(4)]
    demands = demands_of(Earliest(prepare(long_packing(*lines))))

    known = overload(demands, [({0, 1}, 30.0)])

    assert known.points == pytest.approx(30, abs=1e-6)
    assert overload_in_whole(demands, known, [({0, 1}, 30.0)], deterministic_seconds=0.5).points == 30


def test_a_studio_with_more_work_than_hours_is_proven_late_by_hundreds_of_points():
    prepared = prepare(problem_from_form(a_load_form(200, 1, 1.1)))
    demands = demands_of(Earliest(prepared))

    found = overload(demands)

    assert found.points > 1000
    # A few lines are let be late for long, for the sake of all others.
    assert 0 < len(found.late_days) < 60
