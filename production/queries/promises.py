"""The day that demands not in the plan yet can leave, and what insisting on another would push back."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from production.planning.calendar import instant_of
from production.planning.calm import Keep
from production.planning.lifting import CLOSED_DAYS, HANDS, HOURS, MATERIAL, MOULD, PINS, POWDER, Limit
from production.planning.promise import Insisted, earliest_ship_by, pushed_back_by
from production.queries.kept_plan import kept_plan
from production.queries.planning_task import PlanningTask

LIMIT_WORDS = {
    MOULD: "Moulds are the limit.",
    HANDS: "Hands are the limit.",
    HOURS: "The hours in the day are the limit.",
    CLOSED_DAYS: "Days with nobody in are the limit.",
    PINS: "Mixes put to their time by hand are the limit.",
}
PUSHED_NAMED = 4


@dataclass(frozen=True)
class DayPromised:
    """`leaves_on` of each demand, None where none can be promised; `limit` is a sentence."""

    leaves_on: dict[str, date | None]
    limit: str

    @property
    def all_leave_on(self) -> date | None:
        """The day on which the last of them can leave."""
        days = [day for day in self.leaves_on.values() if day is not None]
        return max(days) if len(days) == len(self.leaves_on) and days else None


def earliest_days(task: PlanningTask, new: Collection[str]) -> DayPromised:
    """When the demands named `new` (by `wanted_by`, in the task) can leave without making others later.

    A demand with nothing to pour or to wait for can leave today. Four queries.
    """
    today = task.planned_from.astimezone(task.start.tzinfo).date()
    lines = _lines_of(task, new)
    leaves_on: dict[str, date | None] = dict.fromkeys(new, today)
    cannot = {one.wanted_by for one in task.cannot_be_made}
    leaves_on |= {wanted_by: None for wanted_by in new if wanted_by in cannot}
    if not lines:
        return DayPromised(leaves_on, "")
    promise = earliest_ship_by(task.problem, _keep(task), lines)
    for line, packed_at in promise.packed_at.items():
        wanted_by = task.lines[line].wanted_by
        before = leaves_on[wanted_by]
        if before is not None:
            packed_on = None if packed_at is None else instant_of(packed_at, task.start).date()
            leaves_on[wanted_by] = None if packed_on is None else max(before, packed_on)
    return DayPromised(leaves_on, _limit_words(promise.limit))


def insisted_words(task: PlanningTask, new: Collection[str], day: date) -> str:
    """What insisting on a day (the ship-by of `new` in the task) would push back. Four queries."""
    lines = _lines_of(task, new)
    if not lines:
        return ""
    insisted = pushed_back_by(task.problem, _keep(task), lines)
    said = f"{day:%a} {day.day}"
    if insisted.days_late is None:
        return f"{said} cannot be kept."
    pushed = _pushed_words(task, insisted)
    if insisted.days_late:
        late = f"{said} cannot be kept: {insisted.days_late} d late even before everything else"
        return f"{late}, and {pushed}." if pushed else f"{late}."
    if pushed:
        return f"{said} can be kept, but {pushed}."
    return f"{said} can be kept when it goes first; nothing else leaves later."


def _lines_of(task: PlanningTask, new: Collection[str]) -> set[str]:
    return {line_id for line_id, line in task.lines.items() if line.wanted_by in new}


def _keep(task: PlanningTask) -> Keep:
    return kept_plan(task) or Keep((), max(0, min((w.start for w in task.problem.windows), default=0)))


def _pushed_words(task: PlanningTask, insisted: Insisted) -> str:
    """Whom it pushes back and by how much: "1047 leaves 1 d later and 1049 2 d"."""
    by_label: dict[str, int | None] = {}
    for one in insisted.pushed:
        line = task.lines.get(one.line)
        if line is None:
            continue
        later = None if one.after is None else one.after - (one.before or 0)
        known = by_label.get(line.label, 0)
        by_label[line.label] = None if later is None or known is None else max(known, later)
    if not by_label:
        return ""
    named = list(by_label.items())[:PUSHED_NAMED]
    words = [
        f"{label} finds no place" if later is None else f"{label} leaves {later} d later"
        for label, later in named
    ]
    if len(by_label) > PUSHED_NAMED:
        words.append(f"{len(by_label) - PUSHED_NAMED} more leave later")
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _limit_words(limit: Limit) -> str:
    if limit.kind in (POWDER, MATERIAL):
        return f"{limit.name} is the limit."
    return LIMIT_WORDS.get(limit.kind, "It takes that long by itself.")
