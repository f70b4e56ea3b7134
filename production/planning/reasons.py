"""Why a line is late: a fact of its own, or what it waited for in the simulation."""

from dataclasses import replace

from production.planning.backward import latest_first_pour
from production.planning.forward import earliest_packed, packed_alone
from production.planning.simulate import Run
from production.planning.solution import Held, Plan, PlannedLine
from production.planning.waits import Waits

ORDERED_TOO_LATE = "ordered too late"
# Of limits that held a line equally long, the first is named.
LIMITS = ("mould", "powder", "hands", "closed days")


def explain(plan: Plan, run: Run) -> Plan:
    """The plan with the reason beside each line that is late or not placed.

    First what is true of the line alone: it cannot be made at all, or even with the studio
    to itself it would be late. Else the limit it waited for longest in this simulation.
    """
    waits = Waits(run)
    lines = tuple(
        line if line.days_late == 0 else replace(line, held=_held(run, number, line, waits))
        for number, line in enumerate(plan.lines)
    )
    return replace(plan, lines=lines)


def _held(run: Run, number: int, planned: PlannedLine, waits: Waits) -> Held:
    prepared = run.prepared
    problem = prepared.problem
    line = problem.lines[number]
    first_pour = latest_first_pour(problem, line, prepared.calendar)
    if number in prepared.cannot:
        return Held(prepared.cannot[number], latest_first_pour=first_pour)
    earliest = earliest_packed(prepared, number)
    if earliest is None or earliest <= line.ship_by:
        earliest = packed_alone(problem, line)
    if earliest is None or earliest > line.ship_by:
        # Not even the calendar's end is enough for a line that has no earliest minute.
        return Held(ORDERED_TOO_LATE, latest_first_pour=first_pour, earliest_packed=earliest)
    waited = waits.of_line(number)
    limit = max(LIMITS, key=lambda name: (waited.minutes[name], -LIMITS.index(name)))
    mould = max(waited.moulds, key=lambda name: (waited.moulds[name], name), default=None)
    compound = max(waited.compounds, key=lambda name: (waited.compounds[name], name), default=None)
    return Held(
        limit if waited.minutes[limit] else "hands",
        mould=mould if limit == "mould" else None,
        compound=compound if limit == "powder" else None,
        waited_minutes={name: waited.minutes[name] for name in LIMITS},
        latest_first_pour=first_pour,
        earliest_packed=earliest,
    )
