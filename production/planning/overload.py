"""Points that no plan goes below because there is more to do than hands and moulds can, all lines together.

Between any two working windows, what must be done there fits into their hours and turns only if lines are
late enough. The cheapest choice of lines, in fractions, is a linear program, of which only the rows
that something breaks are written down. Its dual prices prove the bound by themselves: whatever the solver
did, they are checked here (`overload_whole.py` chooses in whole lines and whole mixes).
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from typing import Any

from production.planning.demands import NONE, Demands, Limit, asked_between

# Rows added before the linear program is solved again, and how often at most.
MOST_ROWS, MOST_ROUNDS = 40, 40
# A row is broken when so much more is asked than there is room for.
BROKEN = 1e-3

Late = tuple[int, int]  # line, and how many steps of its lateness
Floor = tuple[Collection[int], float]  # lines, points above the sure ones that they cost together


@dataclass(frozen=True, slots=True)
class Row:
    """The steps of lateness that are taken, times their factors, come to at least so much."""

    at_least: float
    factors: Mapping[Late, float]


@dataclass(frozen=True, slots=True)
class Overload:
    """Points above the sure ones that are proven, and by line the days that are best let it be late.

    `rows` are what was asked of lateness on the way, each true of every plan.
    """

    points: float
    late_days: Mapping[int, int]
    rows: Sequence[Row] = ()


@dataclass(slots=True)
class _Program:
    """The linear program: rows so far, the solver's own of each, and the last answer."""

    demands: Demands
    solver: Any
    steps: dict[Late, Any] = field(default_factory=dict)
    points: dict[Late, float] = field(default_factory=dict)
    rows: list[tuple[Row, Any]] = field(default_factory=list)
    taken: dict[Late, float] = field(default_factory=dict)

    def add_step(self, late: Late, points: float) -> None:
        """Add a step of lateness (or a part of it) that costs so much."""
        self.steps[late] = self.solver.NumVar(0, 1, "")
        self.points[late] = points
        self.solver.Objective().SetCoefficient(self.steps[late], points)

    def add(self, row: Row) -> None:
        """Add a row."""
        constraint = self.solver.RowConstraint(row.at_least, self.solver.infinity(), "")
        for late, factor in row.factors.items():
            constraint.SetCoefficient(self.steps[late], factor)
        self.rows.append((row, constraint))

    def solve(self) -> bool:
        """Solve it; whether there is an answer."""
        if self.solver.Solve() != self.solver.OPTIMAL:
            return False
        self.taken = {late: step.solution_value() for late, step in self.steps.items()}
        return True

    def proven(self) -> float:
        """What the dual prices of the last answer prove: prices times rows, less what a step could save."""
        left, points = dict(self.points), 0.0
        for row, constraint in self.rows:
            price = max(0.0, constraint.dual_value())
            if price:
                points += price * row.at_least
                for late, factor in row.factors.items():
                    left[late] -= price * factor
        return points + sum(min(0.0, saves) for saves in left.values())


def overload(demands: Demands, floors: Sequence[Floor] = ()) -> Overload:
    """The least points above the sure ones by which all demands fit, in fractions of lines.

    Parameters
    ----------
    floors
        Lines, no two of them with a line in common, and points that they are known to cost together.
    """
    program = _program(demands, floors)
    ordered = len(program.rows)
    proven, taken = 0.0, dict[Late, float]()
    for _ in range(MOST_ROUNDS):
        if not program.solve():
            break
        points = program.proven()
        if points >= proven:
            proven, taken = points, program.taken
        broken = [row for limit in demands.limits for row in broken_rows(demands, limit, program.taken)]
        if not broken:
            break
        for row in broken:
            program.add(row)
    rows = tuple(row for row, _ in program.rows[ordered:])
    return Overload(proven, days_of(demands, taken), rows)


def _program(demands: Demands, floors: Sequence[Floor]) -> _Program:
    from ortools.linear_solver import pywraplp

    program = _Program(demands, pywraplp.Solver.CreateSolver("GLOP"))
    for line, lateness in demands.lateness.items():
        for step, adds in enumerate(lateness.adds, start=1):
            program.add_step((line, step), adds)
            if step > 1:
                program.add(Row(0.0, {(line, step - 1): 1.0, (line, step): -1.0}))
    for number, (lines, points) in enumerate(floors):
        # Points that the steps leave out, where a line is later than they tell apart.
        beside = (-1 - number, 1)
        program.add_step(beside, points)
        program.add(Row(points, {beside: points} | adds_of(demands, lines)))
    return program


def adds_of(demands: Demands, lines: Iterable[int]) -> dict[Late, float]:
    """The points of each step of some lines."""
    return {
        (line, step): adds
        for line in sorted(lines)
        if line in demands.lateness
        for step, adds in enumerate(demands.lateness[line].adds, start=1)
    }


def row_of(demands: Demands, limit: Limit, first: int, last: int) -> Row:
    """What must be done between two windows fits there unless lines are late enough."""
    asked, factors = 0.0, defaultdict[Late, float](float)
    for demand, step in asked_between(limit.demands, first, last):
        amount = demand.amount + demand.mixes * mix_minutes(demands, demand.jug)
        asked += amount
        factors[demand.line, step] += amount
    return Row(asked - limit.room[first][last], factors)


def mix_minutes(demands: Demands, jug_number: int) -> int:
    """Minutes of hands that a mix of a jug takes beside its fills; 0 for no jug."""
    if jug_number == NONE:
        return 0
    jug = demands.prepared.jugs[jug_number]
    return jug.weigh_and_mix_minutes + jug.clean_up_minutes


def broken_rows(demands: Demands, limit: Limit, taken: Mapping[Late, float]) -> list[Row]:
    """Rows that so much lateness breaks: for each last window the worst, and of those the worst."""
    windows = demands.windows
    asked = [[0.0] * windows for _ in range(windows)]
    for demand in limit.demands:
        if demand.first >= windows:
            continue
        amount, before = demand.amount + demand.mixes * mix_minutes(demands, demand.jug), 1.0
        for step, last in enumerate(demand.last, start=1):
            if last >= windows:
                break
            later = taken[demand.line, step]
            asked[demand.first][max(last, demand.first)] += amount * (before - later)
            before = later
    worst: dict[int, tuple[float, int]] = {}
    until = [0.0] * windows
    for first in range(windows - 1, -1, -1):
        until = [more + have for more, have in zip(accumulate(asked[first]), until, strict=True)]
        for last in range(first, windows):
            room = limit.room[first][last]
            if until[last] > room + BROKEN:
                excess = (until[last] - room) / max(1.0, room) ** 0.5
                worst[last] = max(worst.get(last, (0.0, 0)), (excess, first))
    chosen = sorted(((excess, first, last) for last, (excess, first) in worst.items()), reverse=True)
    return [row_of(demands, limit, first, last) for _, first, last in chosen[:MOST_ROWS]]


def days_of(demands: Demands, taken: Mapping[Late, float]) -> dict[int, int]:
    """By line the days it is late when steps of more than a half are taken; lines in time are left out."""
    late_days = {}
    for line, lateness in demands.lateness.items():
        steps = sum(taken.get((line, step), 0.0) > 0.5 for step in range(1, len(lateness.days)))
        if lateness.days[steps]:
            late_days[line] = lateness.days[steps]
    return late_days
