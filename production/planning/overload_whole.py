"""The bound of `overload.py` in whole lines and whole mixes, for few lines: what is let be late is a line.

By the end of each working window, the mixes of each jug are a whole number too.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Any

from production.planning.demands import Demands, asked_between
from production.planning.measures import NOISE
from production.planning.overload import Floor, Late, Overload, adds_of, mix_minutes
from production.planning.windows_model import repeatable_solver

# Points and minutes in thousandths, shares of a mix in millionths; rounded so that no plan is left out.
SCALE, SHARES = 1000, 1_000_000


@dataclass(frozen=True, slots=True)
class Whole:
    """Points above the sure ones that are proven, and the work in the solver's deterministic seconds."""

    points: float
    work: float


def overload_in_whole(
    demands: Demands,
    known: Overload,
    floors: Sequence[Floor] = (),
    *,
    deterministic_seconds: float,
    should_stop: Callable[[], bool] | None = None,
) -> Whole:
    """The least points above the sure ones by which all demands fit, in whole lines and mixes.

    `known` is what holds in fractions; its rows hold here too, and so do `floors`, as there.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    steps = _steps(model, demands)
    for row in known.rows:
        factors = [(ceil(factor * SCALE - NOISE), steps[late]) for late, factor in row.factors.items()]
        model.add(_total(factors) >= floor(row.at_least * SCALE))
    _add_hours(model, demands, steps)
    costs = [
        (floor(points * SCALE + NOISE), steps[late])
        for late, points in adds_of(demands, demands.lateness).items()
    ]
    for lines, points in floors:
        beside = model.new_int_var(0, ceil(points * SCALE), "")
        known_steps = [(ceil(adds * SCALE), steps[late]) for late, adds in adds_of(demands, lines).items()]
        model.add(_total([(1, beside), *known_steps]) >= floor(points * SCALE))
        costs.append((1, beside))
    model.minimize(_total(costs))
    solver = repeatable_solver(deterministic_seconds, should_stop)
    solver.solve(model)
    points = max(known.points, solver.best_objective_bound / SCALE)
    return Whole(points, solver.response_proto.deterministic_time)


def _total(terms: list[tuple[int, Any]]) -> Any:
    from ortools.sat.python import cp_model

    return cp_model.LinearExpr.weighted_sum([term for _, term in terms], [factor for factor, _ in terms])


def _steps(model: Any, demands: Demands) -> dict[Late, Any]:
    """Whether each line takes each step of its lateness; a step only after the one before."""
    steps: dict[Late, Any] = {}
    for line, lateness in demands.lateness.items():
        for step in range(1, len(lateness.days)):
            steps[line, step] = model.new_bool_var("")
            if step > 1:
                model.add_implication(steps[line, step], steps[line, step - 1])
    return steps


def _add_hours(model: Any, demands: Demands, steps: Mapping[Late, Any]) -> None:
    """What must be done by the end of each window, with whole mixes, fits into the hours until then."""
    limit = next(limit for limit in demands.limits if limit.hands)
    before: dict[int, Any] = {}
    for last in range(demands.windows):
        asked, late = 0, defaultdict[Late, int](int)
        shares: dict[int, int] = defaultdict(int)
        late_shares: dict[int, dict[Late, int]] = defaultdict(lambda: defaultdict(int))
        for demand, step in asked_between(limit.demands, 0, last):
            amount = floor(demand.amount * SCALE + NOISE)
            asked += amount
            late[demand.line, step] += amount
            if demand.mixes:
                share = floor(demand.mixes * SHARES + NOISE)
                shares[demand.jug] += share
                late_shares[demand.jug][demand.line, step] += share
        terms = [(-minutes, steps[key]) for key, minutes in late.items()]
        for jug, share in sorted(shares.items()):
            mixes = model.new_int_var(0, ceil(share / SHARES), "")
            let_be = [(factor, steps[key]) for key, factor in late_shares[jug].items()]
            model.add(_total([(SHARES, mixes), *let_be]) >= share)
            if jug in before:
                model.add(mixes >= before[jug])
            before[jug] = mixes
            terms.append((mix_minutes(demands, jug) * SCALE, mixes))
        if terms:
            model.add(_total(terms) <= floor(limit.room[0][last] * SCALE) - asked)
