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
from production.queries.planning_task import CannotBeMade, PlanningTask, TaskLine
from production.queries.plans import cannot_be_made
from production.queries.wording import counted

NEVER = float("inf")
# How the planner's limits are said of a line that waits.
WAITS = {
    "hands": "hands are taken up",
    "closed days": "nobody is in",
    "no pours": "it is not poured on days kept free of it",
    "ordered too late": "there is too little time left",
}


Leaves = tuple[date, str]


@dataclass(frozen=True)
class AtRisk:
    """Whose pieces will be late as things are, that the plan had in time or less late.

    `days_late` now (None: not within the calendar) and `planned_days_late`, None for what the plan does not
    know; `ready_at` is when the last of them would be packed. `cannot` is the sentence of what cannot be
    made any more, "" else.
    """

    label: str
    ship_by: date
    pieces: int
    days_late: int | None
    planned_days_late: int | None
    ready_at: datetime | None
    why: str
    cannot: str = ""

    @property
    def sentence(self) -> str:
        """What will be late, by how much, and what it waits for."""
        if self.cannot:
            late = "cannot be made as things are"
        elif self.days_late is None:
            late = f"{'finds' if self.pieces == 1 else 'find'} no place as things are"
        else:
            late = f"{counted(self.days_late, 'day')} late as things are"
        if self.planned_days_late is None:
            was = "not in the plan yet"
        elif self.planned_days_late:
            was = f"{counted(self.planned_days_late, 'day')} late in the plan"
        else:
            was = "in time in the plan"
        pieces = counted(self.pieces, "piece")
        if self.cannot:
            return f"{self.label}: {pieces} {late}, {was}. {self.cannot}"
        return f"{self.label}: {pieces} {late}, {was}" + (f"; {self.why}." if self.why else ".")


def orders_at_risk(task: PlanningTask) -> tuple[AtRisk, ...]:
    """What is late when the newest plan is played again in the present, and was not in it; soonest first.

    Its mixes start no sooner than planned, and what should have started by now starts now; what the plan does
    not know is placed behind. Nothing is searched, so a new plan may well do better: this is what happens if
    nobody makes one. What cannot be made any more is among it; wishes are never late. None before the first
    plan. Five queries, and one simulation.
    """
    keep = kept_plan(task)
    if keep is None:
        return ()
    run = replayed(prepare(task.problem), keep)
    now_late = explain(plan_of(run), run).line_by_id
    planned = _planned_days_late()
    groups: dict[Leaves, list[tuple[TaskLine, Replayed]]] = defaultdict(list)
    for line_id, line in task.lines.items():
        found = now_late[line_id]
        if line.weight and _days(found) > planned.get(line.wanted_by, 0):
            groups[line.ship_by, line.label].append((line, found))
    left_out: dict[Leaves, list[CannotBeMade]] = defaultdict(list)
    for cannot in task.cannot_be_made:
        if cannot.weight and planned.get(cannot.wanted_by) != NEVER:
            left_out[cannot.ship_by, cannot.label].append(cannot)
    return tuple(
        _at_risk(of, groups[of], left_out[of], planned, task.start)
        for of in sorted(groups.keys() | left_out.keys())
    )


def _days(line: Replayed) -> float:
    return NEVER if line.days_late is None else line.days_late


def _planned_days_late() -> dict[str, float]:
    """How late the newest plan has each demand, by its key; NEVER where it left it out. One query."""
    found: dict[str, float] = {}
    newest = PlannedLine.objects.order_by("-plan_id").values("plan_id")[:1]
    for line in PlannedLine.objects.filter(plan__in=newest).only("wanted_by", "days_late", "held_facts"):
        days = NEVER if cannot_be_made(line) else line.days_late
        found[line.wanted_by] = max(found.get(line.wanted_by, 0), days)
    return found


def _at_risk(
    of: Leaves,
    lines: list[tuple[TaskLine, Replayed]],
    left_out: list[CannotBeMade],
    planned: dict[str, float],
    start: datetime,
) -> AtRisk:
    wanted = [line for line, _ in lines] + left_out
    before = [planned[line.wanted_by] for line in wanted if planned.get(line.wanted_by, NEVER) != NEVER]
    worst = None if left_out else max((found for _, found in lines), key=_days)
    return AtRisk(
        label=of[1],
        ship_by=of[0],
        pieces=sum(line.quantity for line in wanted),
        days_late=worst.days_late if worst else None,
        planned_days_late=int(max(before)) if before else None,
        ready_at=instant_of(worst.packed_at, start) if worst and worst.packed_at is not None else None,
        why=_why(worst.held) if worst else "",
        cannot=left_out[0].sentence if left_out else "",
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
