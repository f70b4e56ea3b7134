"""Why a line is late: a fact of its own, or what it waited for in the simulation."""

from collections import Counter
from dataclasses import replace

from production.planning.backward import latest_first_pour
from production.planning.forward import earliest_packed, packed_alone
from production.planning.problem import Line
from production.planning.simulate import Run
from production.planning.solution import Held, Plan
from production.planning.waits import Waits

ORDERED_TOO_LATE = "ordered too late"
# Of limits that held a line equally long, the first is named.
LIMITS = ("no pours", "mould", "powder", "material", "hands", "closed days")


def explain(plan: Plan, run: Run) -> Plan:
    """The plan with the reason beside each line that is late or not placed.

    First what is true of the line alone: it cannot be made at all, or even with the studio
    to itself it would be late. Else the limit it waited for longest in this simulation.
    """
    reasons = _Reasons(run)
    lines = tuple(
        line if line.days_late == 0 else replace(line, held=reasons.of_line(number))
        for number, line in enumerate(plan.lines)
    )
    return replace(plan, lines=lines)


class _Reasons:
    def __init__(self, run: Run) -> None:
        self.run = run
        self.waits = Waits(run)
        problem = run.prepared.problem
        self.in_progress = {out.line for out in problem.out_of_mould}
        self.in_progress |= {cast.line for poured in problem.poured for cast in poured.casts}
        self.alone: dict[tuple[object, ...], int | None] = {}

    def of_line(self, number: int) -> Held:
        """What held a line that is late or not placed."""
        prepared = self.run.prepared
        line = prepared.problem.lines[number]
        first_pour = latest_first_pour(prepared.problem, line, prepared.calendar)
        if number in prepared.cannot:
            return Held(prepared.cannot[number], latest_first_pour=first_pour)
        earliest = earliest_packed(prepared, number)
        if earliest is None or earliest <= line.ship_by:
            earliest = self._packed_alone(line)
        if earliest is None or earliest > line.ship_by:
            return Held(ORDERED_TOO_LATE, latest_first_pour=first_pour, earliest_packed=earliest)
        waited = self.waits.of_line(number)
        limit = max(LIMITS, key=lambda name: (waited.minutes[name], -LIMITS.index(name)))
        if waited.minutes[limit] == 0:
            # It waited for nothing that can be told apart: its own work did not fit sooner.
            limit = "hands"
        return Held(
            limit,
            mould=_most(waited.moulds) if limit == "mould" else None,
            compound=_most(waited.compounds if limit == "powder" else waited.materials)
            if limit in ("powder", "material")
            else None,
            waited_minutes={name: waited.minutes[name] for name in LIMITS},
            latest_first_pour=first_pour,
            earliest_packed=earliest,
        )

    def _packed_alone(self, line: Line) -> int | None:
        """`packed_alone`, once for all lines that are alike."""
        alike: tuple[object, ...] = line.article, line.colour, line.quantity, line.not_before
        if line.id in self.in_progress:
            alike = (line.id,)
        if alike not in self.alone:
            self.alone[alike] = packed_alone(self.run.prepared.problem, line)
        return self.alone[alike]


def _most(waited: Counter[str]) -> str | None:
    return max(waited, key=lambda name: (waited[name], name), default=None)
