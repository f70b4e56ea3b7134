"""What the newest plan has ahead, in the names of a planning problem: where replans and looks start from."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from production.models import PlannedCast, PlannedLine, PlannedMix
from production.planning.calendar import minute_of
from production.planning.calm import Keep, KeptMix
from production.planning.list_rule import ListRule
from production.planning.problem import CastCount
from production.queries.planning_task import PlanningTask
from production.queries.progress import newest_plan, planned_mixes_ahead


def kept_plan(task: PlanningTask) -> Keep | None:
    """The mixes of the newest plan that were not started, and what it was made with; None before the first.

    What should have been started by now starts now. Lines that are no longer in the task fall away when it is
    played; pieces of a line whose boards are others by now are shared out among those. Four queries.
    """
    plan = newest_plan()
    if plan is None:
        return None
    ahead = planned_mixes_ahead()
    now = -minute_of(task.start, task.planned_from)
    casts = _casts_by_mix(task, ahead)
    urgent = PlannedLine.objects.filter(plan=plan).exclude(urgency_minutes=0)
    return Keep(
        mixes=tuple(
            KeptMix(
                max(now, minute_of(mix.starts_at, task.start)),
                mix.compound.name,
                mix.colour.name,
                tuple(casts[mix.pk]),
            )
            for mix in ahead
        ),
        now=now,
        rule=ListRule(plan.pour_ahead_minutes, plan.look_ahead_minutes, plan.least_fill),
        urgency=tuple((line_id_of(line), line.urgency_minutes) for line in urgent.order_by("pk")),
    )


def line_id_of(line: PlannedLine) -> str:
    """The id of a planned line in a planning problem."""
    return f"{line.wanted_by}/{line.board}"


def _casts_by_mix(task: PlanningTask, ahead: Sequence[PlannedMix]) -> dict[int, list[CastCount]]:
    """The casts of the mixes ahead, in order of time and filling, on the boards that the task has now."""
    found = PlannedCast.objects.filter(planned_mix__in=ahead).select_related("line", "part")
    by_mix: dict[int, list[PlannedCast]] = defaultdict(list)
    for cast in found.order_by("planned_mix", "position"):
        by_mix[cast.planned_mix_id].append(cast)
    boards = _Boards(task)
    return {mix.pk: [one for cast in by_mix[mix.pk] for one in boards.take(cast)] for mix in ahead}


class _Boards:
    """What each drying board of a task still has to be poured for, by part.

    Boards are numbered anew whenever part of a demand was poured, so a number alone says little.
    """

    def __init__(self, task: PlanningTask) -> None:
        problem = task.problem
        self.of_demand: dict[str, list[str]] = defaultdict(list)
        self.room: Counter[tuple[str, str]] = Counter()
        for line_id, line in task.lines.items():
            self.of_demand[line.wanted_by].append(line_id)
            for part in problem.article_by_name[problem.line_by_id[line_id].article].parts:
                self.room[line_id, part.name] = line.quantity
        for cast in [cast for mix in problem.poured for cast in mix.casts]:
            self.room[cast.line, cast.part] -= cast.quantity
        for out in problem.out_of_mould:
            self.room[out.line, out.part] -= out.quantity

    def take(self, cast: PlannedCast) -> list[CastCount]:
        """Boards for the pieces of a planned cast: its own, else one that wants as many, else any."""
        part, left = cast.part.name, cast.quantity
        own = line_id_of(cast.line)
        boards = sorted(
            self.of_demand[cast.line.wanted_by],
            key=lambda line: (line != own, self.room[line, part] != left),
        )
        taken = []
        for line in boards:
            pieces = min(left, self.room[line, part])
            if pieces > 0:
                self.room[line, part] -= pieces
                left -= pieces
                taken.append(CastCount(line, part, pieces))
        return taken
