"""Counting forward: the earliest a line can be packed with the studio to itself."""

from dataclasses import replace

from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared, prepare
from production.planning.problem import Line, Problem
from production.planning.simulate import simulate
from production.planning.streams import Unit


def earliest_packed(prepared: Prepared, line_number: int) -> int | None:
    """A minute before which no plan can have a line packed; None if no window holds its tasks.

    The least that any plan needs: some copy of a mould is filled at least as often as pieces
    over copies says, and each turn takes weighing, one fill, setting, one opening and rest
    within the working windows; then the steps one after the other. Supplies, other lines and
    what is in the moulds now are left out.
    """
    ready_at = earliest_dry(prepared, line_number)
    if ready_at is None:
        return None
    ends = ready_at
    for wait, minutes in prepared.tasks[line_number]:
        starts = prepared.calendar.first_fit(ends + wait, minutes)
        if starts is None:
            return None
        ends = starts + minutes
    return ends


def earliest_dry(prepared: Prepared, line_number: int) -> int | None:
    """A minute before which no plan can begin a line's first task; None if no window holds its openings."""
    ready_at = prepared.first_task_from[line_number]
    for unit_number in prepared.units_of.get(line_number, []):
        dried_at = _earliest_dried(prepared, prepared.units[unit_number])
        if dried_at is None:
            return None
        ready_at = max(ready_at, dried_at)
    for filled in prepared.filled:
        for number, _, wait in filled.casts:
            if number == line_number:
                opens = prepared.calendar.first_fit(max(0, filled.ready_at), filled.opening_minutes)
                if opens is None:
                    return None
                ready_at = max(ready_at, opens + filled.opening_minutes + wait)
    return max(0, ready_at)


def _earliest_dried(prepared: Prepared, unit: Unit) -> int | None:
    """Earliest minute the last piece of a unit has waited for its first step."""
    problem, calendar = prepared.problem, prepared.calendar
    stream = prepared.streams[unit.stream]
    compound = problem.compounds[prepared.jugs[stream.jug].compound]
    fill, opening = -(-stream.takes.fill_milliminutes // 1000), -(-stream.takes.opening_milliminutes // 1000)
    turns = max(-(-unit.pieces * needed // problem.moulds[mould].copies) for mould, needed in stream.needs)
    rest = min(problem.moulds[mould].rest_minutes for mould, _ in stream.needs)
    out_at, free_at = 0, max(0, problem.lines[unit.line].not_before)
    for _ in range(turns):
        starts = calendar.first_fit(
            free_at, compound.weigh_and_mix_minutes + fill + compound.clean_up_minutes
        )
        if starts is None:
            return None
        set_at = starts + compound.weigh_and_mix_minutes + fill + stream.set_minutes
        opens = calendar.first_fit(set_at, opening)
        if opens is None:
            return None
        out_at = opens + opening
        free_at = out_at + rest
    return out_at + unit.wait_minutes


def packed_alone(problem: Problem, line: Line) -> int | None:
    """When a line is packed if the studio is played with it alone, all copies free and supplies enough."""
    alone = replace(
        problem,
        lines=(line,),
        moulds=tuple(replace(mould, free_at=()) for mould in problem.moulds),
        compounds=tuple(replace(compound, powder_g=1e12, receipts=()) for compound in problem.compounds),
        poured=tuple(
            replace(poured, casts=tuple(cast for cast in poured.casts if cast.line == line.id))
            for poured in problem.poured
            if any(cast.line == line.id for cast in poured.casts)
        ),
        out_of_mould=tuple(out for out in problem.out_of_mould if out.line == line.id),
        pins=(),
        no_pours=(),
        supplies=tuple(replace(supply, opening=1e12, receipts=()) for supply in problem.supplies),
    )
    # Ahead of any ship-by, so that nothing is held back and ship-by does not matter.
    at_once = ListRule(10**12, 0, 0.0)
    return simulate(prepare(alone), at_once).packed_at[0]
