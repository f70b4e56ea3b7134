"""What the newest plan has ahead, in the names of a planning problem: where replans and looks start from."""

from __future__ import annotations

from collections import defaultdict

from production.models import PlannedCast, PlannedLine
from production.planning.calendar import minute_of
from production.planning.calm import Keep, KeptMix
from production.planning.list_rule import ListRule
from production.planning.problem import CastCount
from production.queries.planning_task import PlanningTask
from production.queries.progress import newest_plan, planned_mixes_ahead


def kept_plan(task: PlanningTask) -> Keep | None:
    """The mixes of the newest plan that were not started, and what it was made with; None before the first.

    Lines that are no longer in the task fall away when it is played. Four queries.
    """
    plan = newest_plan()
    if plan is None:
        return None
    ahead = planned_mixes_ahead()
    casts: dict[int, list[CastCount]] = defaultdict(list)
    found = PlannedCast.objects.filter(planned_mix__in=ahead).select_related("line", "part")
    for cast in found.order_by("planned_mix", "position"):
        casts[cast.planned_mix_id].append(CastCount(line_id_of(cast.line), cast.part.name, cast.quantity))
    urgent = PlannedLine.objects.filter(plan=plan).exclude(urgency_minutes=0)
    return Keep(
        mixes=tuple(
            KeptMix(
                minute_of(mix.starts_at, task.start), mix.compound.name, mix.colour.name, tuple(casts[mix.pk])
            )
            for mix in ahead
        ),
        now=-minute_of(task.start, task.planned_from),
        rule=ListRule(plan.pour_ahead_minutes, plan.look_ahead_minutes, plan.least_fill),
        urgency=tuple((line_id_of(line), line.urgency_minutes) for line in urgent.order_by("pk")),
    )


def line_id_of(line: PlannedLine) -> str:
    """The id of a planned line in a planning problem."""
    return f"{line.wanted_by}/{line.board}"
