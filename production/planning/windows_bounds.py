"""Bounds that the solver proves in the aggregated model: by group of moulds, by jug, and of the whole.

Each part of a plan is a plan of that part, with all hands to itself: what the parts cost at least adds
up. The model of the whole knows that besides, and the hands that the parts share.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from production.planning.counting import (
    TOO_LATE,
    extra_by_group,
    groups_of_lines,
    mixes_by_counting,
    mixes_for,
    points_by_counting,
    sure_points,
    up_to_grain,
)
from production.planning.demands import demands_of
from production.planning.measures import NOISE
from production.planning.overload import Floor, overload
from production.planning.overload_whole import overload_in_whole
from production.planning.prepare import Prepared
from production.planning.simulate import Run
from production.planning.solution import Bounds, days_late
from production.planning.turns import NEVER, Earliest, late_points
from production.planning.windows_facts import Facts, facts_of, units_by_group
from production.planning.windows_model import SCALE, Model, Solved, hard_model, hint, solve, total

ShouldStop = Callable[[], bool]

BY_GROUP, BY_WHOLE = "moulds that articles share", "the whole plan by working windows"
BY_OVERLOAD = "hours of hands and turns of moulds over time"
# So much of the work is for lateness; counting says most about mixes.
FOR_POINTS = 0.75
# And of what is left of that, so much for whole lines against the hours.
FOR_OVERLOAD = 0.5
# Above so many units the whole is too much for the solver; its parts are not.
WHOLE_UNITS = 100
# Cells that make a line later than this are lumped together.
MOST_DAYS = 20
# A bound that the solver reckons with floating point is trusted up to this much of a point or a mix.
DOUBT = 1e-3


@dataclass(frozen=True, slots=True)
class Proof:
    """What is proven, and by line the days it is late in what the solver found best on the way."""

    bounds: Bounds
    late_days: Mapping[int, int]


@dataclass(slots=True)
class _Budget:
    """Work of the solver that is left."""

    left: float
    should_stop: ShouldStop | None

    def asked_to_stop(self) -> bool:
        return self.should_stop is not None and self.should_stop()

    def stopped(self) -> bool:
        return self.left <= 0 or self.asked_to_stop()


def proof_by_windows(
    prepared: Prepared, run: Run, *, deterministic_seconds: float, should_stop: ShouldStop | None = None
) -> Proof:
    """Bounds proven with the solver, never below those of counting; work left by lateness is for mixes."""
    late_days: dict[int, int] = {}
    budget = _Budget(deterministic_seconds * FOR_POINTS, should_stop)
    points, by = _points(prepared, run, budget, late_days)
    budget.left += deterministic_seconds * (1 - FOR_POINTS)
    mixes = _mixes(prepared, run, budget)
    return Proof(Bounds(points, by, mixes), late_days)


def _points(prepared: Prepared, run: Run, budget: _Budget, late_days: dict[int, int]) -> tuple[float, str]:
    counted, by = points_by_counting(prepared)
    if counted >= run.score.points - NOISE:
        return counted, by
    earliest = Earliest(prepared)
    sure = sure_points(prepared, earliest)
    groups = units_by_group(prepared)
    few = len(prepared.units) <= WHOLE_UNITS
    extra = dict.fromkeys(groups, 0.0) | extra_by_group(prepared, earliest, sure)
    most_days = _worth_looking(prepared, sure, run.score.points)
    gaps = _gaps(prepared, run, sure, extra)
    for group in sorted(gaps, key=lambda group: (gaps[group], group)):
        if budget.stopped():
            break
        model = hard_model(facts_of(earliest, groups[group], most_days))
        model.solver_model.minimize(total(model.lateness()))
        solved = _solve(model, run, budget, gaps[group] / (sum(gaps.values()) * (1 + few)))
        gaps[group] = 0
        late_days |= solved.late_days
        extra[group] = max(extra[group], _proven(solved) / SCALE)
    by_groups = sum(sure) + sum(extra.values())
    if by_groups > counted + NOISE:
        counted, by = up_to_grain(prepared, by_groups), BY_GROUP if by_groups > sum(sure) else TOO_LATE
    if budget.asked_to_stop():
        return counted, by
    floors = [(_lines_of(prepared, groups[group]), points) for group, points in extra.items() if points > 0]
    points = sum(sure) + _overloaded(earliest, floors, budget, few)
    if points > counted + NOISE:
        counted, by = up_to_grain(prepared, points), BY_OVERLOAD
    if few and len(groups) > 1 and not budget.stopped() and counted < run.score.points - NOISE:
        model = hard_model(facts_of(earliest, range(len(prepared.units)), most_days))
        for group, units in groups.items():
            _add_floor(model, prepared, units, floor(extra[group] * SCALE))
        model.solver_model.minimize(total(model.lateness()))
        points = up_to_grain(prepared, sum(sure) + _proven(_solve(model, run, budget, 1.0)) / SCALE)
        if points > counted + NOISE:
            counted, by = points, BY_WHOLE
    return counted, by


def _lines_of(prepared: Prepared, units: Iterable[int]) -> set[int]:
    return {prepared.units[number].line for number in units}


def _overloaded(earliest: Earliest, floors: Sequence[Floor], budget: _Budget, few: bool) -> float:
    """Points above the sure ones by what is asked of hands and moulds."""
    demands = demands_of(earliest)
    known = overload(demands, floors)
    if not few or budget.stopped():
        return max(0.0, known.points - DOUBT)
    whole = overload_in_whole(
        demands,
        known,
        floors,
        deterministic_seconds=budget.left * FOR_OVERLOAD,
        should_stop=budget.should_stop,
    )
    budget.left -= whole.work
    return max(0.0, whole.points - DOUBT)


def _gaps(
    prepared: Prepared, run: Run, sure: Sequence[float], extra: Mapping[int, float]
) -> dict[int, float]:
    """Points of a run above what is proven, by group; where there are none nothing more can be proven."""
    group_of = groups_of_lines(prepared)
    gaps = {group: -points for group, points in extra.items()}
    for line, (packed, wanted) in enumerate(zip(run.packed_at, prepared.problem.lines, strict=True)):
        if group_of[line] in gaps:
            days = NEVER if packed is None else days_late(packed, wanted.ship_by)
            gaps[group_of[line]] += late_points(prepared, line, days) - sure[line]
    return {group: gap for group, gap in gaps.items() if gap > NOISE}


def _worth_looking(prepared: Prepared, sure: Sequence[float], points: float) -> Callable[[int], int]:
    """By line, days of lateness after which it alone costs more than a plan that is known."""
    to_spend = points - sum(sure)

    def most_days(line: int) -> int:
        days = 0
        while days < MOST_DAYS and late_points(prepared, line, days + 1) - sure[line] <= to_spend:
            days += 1
        return days

    return most_days


def _add_floor(model: Model, prepared: Prepared, units: Iterable[int], points: int) -> None:
    """Lateness of a group is not below what is proven for it."""
    lines = {prepared.units[number].line for number in units}
    late = {variable.index: line for (line, _), variable in model.late.items()}
    terms = [(factor, variable) for factor, variable in model.lateness() if late[variable.index] in lines]
    # The model rounds each level's points down to a thousandth.
    least = points - len(terms)
    if least > 0:
        model.solver_model.add(total(terms) >= least)


def _solve(model: Model, run: Run, budget: _Budget, share: float) -> Solved:
    """Solve a model from a run, within a share of what is left of the budget."""
    hint(model, run)
    solved = solve(model, deterministic_seconds=budget.left * share, should_stop=budget.should_stop)
    budget.left -= solved.work
    return solved


def _proven(solved: Solved) -> float:
    return max(0.0, solved.bound - DOUBT)


def _mixes(prepared: Prepared, run: Run, budget: _Budget) -> int:
    """Mixes of any plan no later than a run: the sum over jugs of the least that each needs."""
    counted = mixes_by_counting(prepared, run.score.points)
    earliest = Earliest(prepared)
    sure = sure_points(prepared, earliest)
    to_spend = run.score.points - sum(sure)
    most_days = _worth_looking(prepared, sure, run.score.points)
    jugs = [jug for jug in range(len(prepared.jugs)) if prepared.jugs[jug].streams]
    in_run = {jug: sum(mix.jug == jug for mix in run.mixes) for jug in jugs}
    proven = 0
    for place, jug in enumerate(sorted(jugs, key=lambda jug: (in_run[jug], jug))):
        units = [unit for stream in prepared.jugs[jug].streams for unit in prepared.streams[stream].units]
        facts = facts_of(earliest, units, most_days)
        # Counting holds for a jug alone only if no plan so good leaves one of its lines out.
        dear = all(
            late_points(prepared, line, NEVER) - sure[line] > to_spend
            for line in {prepared.units[number].line for number in facts.units}
        )
        pieces = {number: prepared.units[number].pieces for number in facts.units}
        least = mixes_for(prepared, jug, pieces) if pieces and dear else 0
        if least < in_run[jug] and not budget.stopped():
            least = max(least, _mixes_of_jug(facts, run, to_spend, least, budget, 1 / (len(jugs) - place)))
        proven += least
    return max(counted, proven)


def _mixes_of_jug(facts: Facts, run: Run, to_spend: float, least: int, budget: _Budget, share: float) -> int:
    model = hard_model(facts)
    model.solver_model.add(total(model.lateness()) <= ceil(to_spend * SCALE))
    model.solver_model.add(total(model.all_mixes()) >= least)
    model.solver_model.minimize(total(model.all_mixes()))
    return ceil(_proven(_solve(model, run, budget, share)) - NOISE)
