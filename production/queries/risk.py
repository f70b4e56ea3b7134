"""What is at risk as things are now: the newest plan played again from the present, against what it said."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime

from production.models import PlannedLine
from production.planning.calendar import instant_of
from production.planning.calm import replayed
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.reasons import explain
from production.planning.solution import Held
from production.planning.solution import PlannedLine as Replayed
from production.queries.kept_plan import kept_plan
from production.queries.planning_task import PlanningTask, TaskLine
from production.queries.wording import counted

# How the planner's limits are said of a line that waits.
WAITS = {
    "hands": "hands are taken up",
    "closed days": "nobody is in",
    "no pours": "it is not poured on days kept free of it",
    "ordered too late": "there is too little time left",
}


@dataclass(frozen=True)
class AtRisk:
    """Whose pieces will be late as things are, that the plan had in time or less late.

    `days_late` now (None: not within the calendar) and `planned_days_late`, None for what the plan does not
    know; `ready_at` is when the last of them would be packed.
    """

    label: str
    ship_by: date
    pieces: int
    days_late: int | None
    planned_days_late: int | None
    ready_at: datetime | None
    why: str

    @property
    def sentence(self) -> str:
        """What will be late, by how much, and what it waits for."""
        if self.days_late is None:
            late = "finds no place as things are"
        else:
            late = f"{counted(self.days_late, 'day')} late as things are"
        if self.planned_days_late is None:
            was = "not in the plan yet"
        elif self.planned_days_late:
            was = f"{counted(self.planned_days_late, 'day')} late in the plan"
        else:
            was = "in time in the plan"
        pieces = counted(self.pieces, "piece")
        return f"{self.label}: {pieces} {late}, {was}" + (f"; {self.why}." if self.why else ".")


def orders_at_risk(task: PlanningTask) -> tuple[AtRisk, ...]:
    """What is late when the newest plan is played again in the present, and was not in it; soonest first.

    Its mixes start no sooner than planned, and what should have started by now starts now; what the plan does
    not know is placed behind. Nothing is searched, so a new plan may well do better: this is what happens if
    nobody makes one. Wishes are never late. None before the first plan. Five queries, and one simulation.
    """
    keep = kept_plan(task)
    if keep is None:
        return ()
    run = replayed(prepare(task.problem), keep)
    now_late = explain(plan_of(run), run).line_by_id
    planned = _planned_days_late()
    groups: dict[tuple[date, str], list[tuple[TaskLine, Replayed]]] = defaultdict(list)
    for line_id, line in task.lines.items():
        found = now_late[line_id]
        before = planned.get(line.wanted_by)
        if line.weight and _days(found) > (before or 0):
            groups[line.ship_by, line.label].append((line, found))
    return tuple(
        _at_risk(task, lines, planned) for _, lines in sorted(groups.items(), key=lambda one: one[0])
    )


def _days(line: Replayed) -> float:
    return float("inf") if line.days_late is None else line.days_late


def _planned_days_late() -> dict[str, int]:
    """How late the newest plan has each demand, by its key. One query."""
    found: dict[str, int] = {}
    newest = PlannedLine.objects.order_by("-plan_id").values("plan_id")[:1]
    for wanted_by, days in PlannedLine.objects.filter(plan__in=newest).values_list("wanted_by", "days_late"):
        found[wanted_by] = max(found.get(wanted_by, 0), days)
    return found


def _at_risk(task: PlanningTask, lines: list[tuple[TaskLine, Replayed]], planned: dict[str, int]) -> AtRisk:
    worst, found = max(lines, key=lambda one: _days(one[1]))
    before = [planned[line.wanted_by] for line, _ in lines if line.wanted_by in planned]
    return AtRisk(
        label=worst.label,
        ship_by=worst.ship_by,
        pieces=sum(line.quantity for line, _ in lines),
        days_late=found.days_late,
        planned_days_late=max(before) if before else None,
        ready_at=None if found.packed_at is None else instant_of(found.packed_at, task.start),
        why=_why(found.held),
    )


def _why(held: Held | None) -> str:
    """What a line waits for, in words that follow a comma."""
    if held is None:
        return ""
    if held.mould:
        return f"it waits for the mould {held.mould}"
    if held.compound:
        powder = " powder" if held.limit == "powder" else ""
        return f"it waits for {held.compound}{powder}"
    return WAITS.get(held.limit, f"held by {held.limit}")
