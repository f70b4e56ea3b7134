"""The aggregated model of working windows, for the CP-SAT solver: what is true of every plan, and no more.

How many pieces of each unit are poured in each of its cells, how many mixes of each jug in each window;
the exact minutes are left to the simulator. Every plan fits into the model at no more than its own
cost, so the least cost in the model bounds all plans.

OR-Tools is imported when a model is made, never before.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from production.planning.measures import NOISE
from production.planning.simulate import Run
from production.planning.turns import NEVER, late_points
from production.planning.windows_facts import Cell, Facts, Work, most_turns, works_of

# Points are counted in thousandths, hands in thousandths of a minute.
SCALE = 1000
# In place of a cell (for mixes: of a window): poured after the last of them, or never.
LATER, NEVER_POURED = -1, -2
# A stretch of windows is worth a constraint on hands when so much of it is asked for by finishing alone.
BUSY = 0.35


@dataclass(slots=True)
class Model:
    """The solver's model with its variables: pieces, mixes, and whether a line is so late."""

    facts: Facts
    solver_model: Any
    pieces: dict[tuple[int, int], Any] = field(default_factory=dict)  # unit, cell
    mixes: dict[tuple[int, int], Any] = field(default_factory=dict)  # jug, window
    late: dict[tuple[int, int], Any] = field(default_factory=dict)  # line, days
    mixing: dict[int, Any] = field(default_factory=dict)  # by window, thousandths of a minute
    sums: list[tuple[Any, list[tuple[int, Any]]]] = field(default_factory=list)
    hints: dict[int, int] = field(default_factory=dict)

    def window_of(self, unit_number: int, place: int) -> int:
        """The window of a unit's cell (LATER and NEVER_POURED stay what they are)."""
        return place if place < 0 else self.facts.units[unit_number].cells[place].window

    def lateness(self) -> list[tuple[int, Any]]:
        """Lateness points above the sure ones, in thousandths rounded down: factors with variables."""
        terms = []
        for line, levels in self.facts.levels.items():
            before = late_points(self.facts.prepared, line, self.facts.sure_days[line])
            for days in levels:
                points = late_points(self.facts.prepared, line, days)
                terms.append((int((points - before) * SCALE + NOISE), self.late[line, days]))
                before = points
        return terms

    def all_mixes(self) -> list[tuple[int, Any]]:
        """The mixes: each counts 1."""
        return [(1, count) for count in self.mixes.values()]


def hard_model(facts: Facts) -> Model:
    """The model of everything that is true of every plan, for the units of `facts`."""
    from ortools.sat.python import cp_model

    model = Model(facts, cp_model.CpModel())
    _add_variables(model)
    _add_jugs(model)
    _add_moulds(model)
    _add_hands(model)
    _add_supplies(model)
    return model


def total(terms: Sequence[tuple[int, Any]]) -> Any:
    """The sum of factors times variables."""
    from ortools.sat.python import cp_model

    return cp_model.LinearExpr.weighted_sum([term for _, term in terms], [factor for factor, _ in terms])


def _add_variables(model: Model) -> None:
    facts, solver_model, prepared = model.facts, model.solver_model, model.facts.prepared
    for line, levels in facts.levels.items():
        for days in levels:
            model.late[line, days] = solver_model.new_bool_var(f"late {line} {days}")
        for days, more in zip(levels, levels[1:], strict=False):
            solver_model.add_implication(model.late[line, more], model.late[line, days])
    for number, unit_facts in facts.units.items():
        unit = prepared.units[number]
        by_days: dict[int, list[tuple[int, Any]]] = defaultdict(list)
        days_of = {place: cell.days for place, cell in enumerate(unit_facts.cells)}
        for place, days in (days_of | {LATER: unit_facts.later_days, NEVER_POURED: NEVER}).items():
            pieces = solver_model.new_int_var(0, unit.pieces, f"pieces {number} {place}")
            model.pieces[number, place] = pieces
            by_days[days].append((1, pieces))
        solver_model.add(total([term for terms in by_days.values() for term in terms]) == unit.pieces)
        for days in facts.levels[unit.line]:
            as_late = [term for late, terms in by_days.items() if late >= days for term in terms]
            solver_model.add(total(as_late) <= unit.pieces * model.late[unit.line, days])


def _add_jugs(model: Model) -> None:
    """What the mixes of a jug in a window hold, and the hands they take."""
    prepared = model.facts.prepared
    found: dict[tuple[int, int], dict[int, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for (number, place), pieces in model.pieces.items():
        if place != NEVER_POURED:
            jug = prepared.streams[prepared.units[number].stream].jug
            found[jug, model.window_of(number, place)][number].append(pieces)
    mixing: dict[int, list[tuple[int, Any]]] = defaultdict(list)
    for (jug, window), by_unit in sorted(found.items()):
        most = sum(prepared.units[number].pieces for number in by_unit)
        count = model.mixes[jug, window] = model.solver_model.new_int_var(0, most, f"mixes {jug} {window}")
        fills = _add_mixes(model, jug, window, by_unit)
        if window >= 0:
            hands = prepared.jugs[jug].weigh_and_mix_minutes + prepared.jugs[jug].clean_up_minutes
            mixing[window] += [(1000 * hands, count), *fills]
    for window, terms in mixing.items():
        opens = prepared.calendar.windows[window]
        most = 1000 * opens.pairs * (opens.end - opens.start)
        model.mixing[window] = model.solver_model.new_int_var(0, most, f"mixing {window}")
        model.solver_model.add(total(terms) == model.mixing[window])
        model.sums.append((model.mixing[window], terms))


def _add_mixes(
    model: Model, jug_number: int, window: int, by_unit: Mapping[int, Sequence[Any]]
) -> list[tuple[int, Any]]:
    """What so many mixes hold; the fills."""
    prepared = model.facts.prepared
    jug, longest = prepared.jugs[jug_number], prepared.calendar.longest_minutes
    room = longest
    if window != LATER:
        room = prepared.calendar.windows[window].end - prepared.calendar.windows[window].start
    hands = jug.weigh_and_mix_minutes + jug.clean_up_minutes
    holds: dict[str, tuple[int, list[tuple[int, Any]]]] = {
        "fill": (1000 * min(jug.working_minutes, room - hands), []),
        "slurry": (jug.holds_mg, []),
        "opening": (1000 * longest, []),
    }
    count = model.mixes[jug_number, window]
    for number, cells in by_unit.items():
        stream = prepared.streams[prepared.units[number].stream]
        holds["fill"][1].extend((stream.takes.fill_milliminutes, pieces) for pieces in cells)
        holds["slurry"][1].extend((stream.takes.slurry_mg, pieces) for pieces in cells)
        holds["opening"][1].extend((stream.takes.opening_milliminutes, pieces) for pieces in cells)
        for mould, copies in stream.needs:
            limit = prepared.problem.moulds[mould].copies
            holds.setdefault(f"copies {mould}", (limit, []))[1].extend((copies, pieces) for pieces in cells)
        most_each = min(prepared.units[number].pieces, stream.takes.most_per_mix)
        model.solver_model.add(total([(1, pieces) for pieces in cells]) <= most_each * count)
    for limit, terms in holds.values():
        model.solver_model.add(total(terms) <= limit * count)
    return holds["fill"][1]


def _add_moulds(model: Model) -> None:
    """No more casts begun in a stretch of time than the copies of their mould turn."""
    facts, prepared = model.facts, model.facts.prepared
    casts: dict[int, list[tuple[Cell, int, int, Any]]] = defaultdict(list)
    for number, unit_facts in facts.units.items():
        for mould, copies in prepared.streams[prepared.units[number].stream].needs:
            for place, cell in enumerate(unit_facts.cells):
                casts[mould].append((cell, copies, number, model.pieces[number, place]))
    for mould, asked in sorted(casts.items()):
        cuts = sorted({minute for cell, *_ in asked for minute in (cell.start, cell.end)})
        for start, before, count in most_turns(facts, mould, cuts):
            inside = [one for one in asked if one[0].start >= start and one[0].end <= before]
            wanted = {number: copies * prepared.units[number].pieces for _, copies, number, _ in inside}
            if sum(wanted.values()) > count:
                model.solver_model.add(total([(copies, pieces) for _, copies, _, pieces in inside]) <= count)


def _add_hands(model: Model) -> None:
    """Mixing and finishing that must lie in a stretch of windows, against its hours of hands."""
    facts = model.facts
    windows = facts.prepared.calendar.windows
    works = [(line, work) for line in facts.levels for work in works_of(facts, line)]
    hours = [0]
    for window in windows:
        hours.append(hours[-1] + 1000 * window.pairs * (window.end - window.start))
    for first, last in _busy_stretches(facts, [work for _, work in works], hours):
        start, end = windows[first].start, windows[last].end
        asked, factors = 0, defaultdict[tuple[int, int], int](int)
        for line, work in works:
            inside = sum(ends <= end for ends in work.ends_by)
            if work.head >= start and inside:
                # Not in this stretch only if the line is later than the last level that is.
                asked += work.milliminutes
                factors[line, facts.levels[line][inside - 1]] += work.milliminutes
        terms = [(1, model.mixing[place]) for place in range(first, last + 1) if place in model.mixing]
        terms += [(-factor, model.late[key]) for key, factor in factors.items()]
        if terms:
            model.solver_model.add(total(terms) <= hours[last + 1] - hours[first] - asked)


def _busy_stretches(facts: Facts, works: Sequence[Work], hours: Sequence[int]) -> list[tuple[int, int]]:
    """For each last window, the whole time until its end and the stretch asked for most."""
    windows = facts.prepared.calendar.windows
    kept = []
    for last, window in enumerate(windows):
        ending = sorted(
            ((work.head, work.milliminutes) for work in works if work.ends_by[0] <= window.end), reverse=True
        )
        asked, place, best = 0, 0, (BUSY, 0)
        for first in range(last, -1, -1):
            while place < len(ending) and ending[place][0] >= windows[first].start:
                asked += ending[place][1]
                place += 1
            best = max(best, (asked / (hours[last + 1] - hours[first]), first))
        kept.append((0, last))
        if best[0] > BUSY and best[1] > 0:
            kept.append((best[1], last))
    return kept


def _add_supplies(model: Model) -> None:
    """What mixes use up before each receipt, against what is in hand until then."""
    prepared, windows = model.facts.prepared, model.facts.prepared.calendar.windows
    uses: dict[int, list[tuple[int, int, Any]]] = defaultdict(list)  # window, factor, variable
    shares: dict[int, dict[int, float]] = {}
    for (number, window), count in model.mixes.items():
        jug = prepared.jugs[number]
        shares[number] = {jug.powder: jug.powder_share} | {
            supply: jug.powder_share * per_powder for supply, per_powder in jug.pigments
        }
        for supply, share in shares[number].items():
            uses[supply].append((window, int(share * jug.residue_mg), count))
    for (number, place), pieces in model.pieces.items():
        stream = prepared.streams[prepared.units[number].stream]
        if place != NEVER_POURED:
            for supply, share in shares[stream.jug].items():
                factor = int(share * stream.takes.slurry_mg)
                uses[supply].append((model.window_of(number, place), factor, pieces))
    for supply, used in sorted(uses.items()):
        in_hand = prepared.supplies[supply].opening
        most = sum(factor * max(variable.proto.domain) for _, factor, variable in used)
        for minute, amount in [*sorted(prepared.supplies[supply].receipts), (NEVER, 0)]:
            before = [
                (factor, variable)
                for window, factor, variable in used
                if minute == NEVER or window >= 0 and windows[window].end <= minute
            ]
            if before and in_hand < most:
                model.solver_model.add(total(before) <= in_hand)
            in_hand += amount


def hint(model: Model, run: Run) -> None:
    """Start from a run: what it pours where, and how late its lines are."""
    facts, prepared = model.facts, model.facts.prepared
    pieces: dict[tuple[int, int], int] = defaultdict(int)
    mixes: dict[tuple[int, int], int] = defaultdict(int)
    left = {number: prepared.units[number].pieces for number in facts.units}
    for mix in run.mixes:
        used = set()
        for number, count in mix.takes:
            if number in facts.units:
                place = facts.cell_of(number, mix.start)
                place = LATER if place is None else place
                pieces[number, place] += count
                left[number] -= count
                used.add(model.window_of(number, place))
        for window in used:
            mixes[mix.jug, window] += 1
    for number, count in left.items():
        pieces[number, NEVER_POURED] += count
    late_by = {line: NEVER for line in facts.levels}
    for line, packed in enumerate(run.packed_at):
        if line in late_by and packed is not None:
            late_by[line] = facts.earliest.days_late(line, packed)
    for (number, place), count in pieces.items():
        line, unit_facts = prepared.units[number].line, facts.units[number]
        if count:
            days = {LATER: unit_facts.later_days, NEVER_POURED: NEVER}
            late_by[line] = max(late_by[line], days[place] if place < 0 else unit_facts.cells[place].days)
    _give_hints(model, pieces, mixes, late_by)


def _give_hints(
    model: Model,
    pieces: Mapping[tuple[int, int], int],
    mixes: Mapping[tuple[int, int], int],
    late_by: Mapping[int, int],
) -> None:
    values: dict[int, int] = {}
    for variables, counts in ((model.pieces, pieces), (model.mixes, mixes)):
        values |= {variable.index: counts.get(key, 0) for key, variable in variables.items()}
    values |= {variable.index: late_by[line] >= days for (line, days), variable in model.late.items()}

    for variable, terms in model.sums:
        values[variable.index] = sum(factor * values[term.index] for factor, term in terms)
    model.hints = values
    for index, value in values.items():
        model.solver_model.add_hint(model.solver_model.get_int_var_from_proto_index(index), value)


@dataclass(frozen=True, slots=True)
class Solved:
    """What a solve found: pieces and mixes above 0, days late by line; its cost, and the bound it proved.

    `work` is what it took, in the solver's deterministic seconds.
    """

    found: bool
    pieces: Mapping[tuple[int, int], int]
    mixes: Mapping[tuple[int, int], int]
    late_days: Mapping[int, int]
    cost: float
    bound: float
    work: float


def repeatable_solver(deterministic_seconds: float, should_stop: Callable[[], bool] | None) -> Any:
    """A solver that answers the same for the same model, within so much work, and stops when asked to."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.interleave_search = True
    solver.parameters.max_deterministic_time = deterministic_seconds
    solver.parameters.random_seed = 1

    def stop_if_asked(_: float) -> None:
        if should_stop is not None and should_stop():
            solver.stop_search()

    solver.best_bound_callback = stop_if_asked
    return solver


def solve(
    model: Model, *, deterministic_seconds: float, should_stop: Callable[[], bool] | None = None
) -> Solved:
    """Solve a model within so much work of the solver; always the same for the same model."""
    from ortools.sat.python import cp_model

    solver = repeatable_solver(deterministic_seconds, should_stop)
    ended = solver.solve(model.solver_model)
    found = ended in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    late_days = dict(model.facts.sure_days)
    if found:
        for (line, days), variable in model.late.items():
            if solver.value(variable):
                late_days[line] = max(late_days[line], days)
    return Solved(
        found=found,
        pieces=_above_zero(solver, model.pieces) if found else {},
        mixes=_above_zero(solver, model.mixes) if found else {},
        late_days=late_days,
        cost=solver.objective_value if found else 0.0,
        bound=solver.best_objective_bound,
        work=solver.response_proto.deterministic_time,
    )


def _above_zero(solver: Any, variables: Mapping[tuple[int, int], Any]) -> dict[tuple[int, int], int]:
    return {key: count for key, variable in variables.items() if (count := solver.value(variable)) > 0}
