"""The mixes put to a time by hand that later plans have to keep there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import QuerySet

from production.models import MixPin
from production.planning.calendar import minute_of
from production.planning.moving import windows_ready_for
from production.planning.problem import Pin
from production.queries.planning_task import PlanningTask
from production.queries.progress import newest_plan


@dataclass(frozen=True)
class PinMissed:
    """A mix put to a time by hand for which the newest plan has no mix there."""

    id: int
    colour: str
    starts_at: datetime


def pins_that_hold(now: datetime) -> QuerySet[MixPin]:
    """Pins whose time is to come, and that were neither released nor poured."""
    return (
        MixPin.objects.filter(released_at__isnull=True, starts_at__gte=now)
        .exclude(planned__mix__isnull=False)
        .select_related("compound", "colour")
        .order_by("starts_at", "pk")
    )


def with_pins(task: PlanningTask) -> PlanningTask:
    """The task with the pins that hold, and hands that end what they do before a pinned minute. One query.

    A pin of a colour that nothing is poured in any more holds nothing and is left out.
    """
    poured = {
        (part.compound, part.colour or line.colour)
        for line in task.problem.lines
        for part in task.problem.article_by_name[line.article].parts
    }
    found: dict[Pin, int] = {}
    for pin in pins_that_hold(task.planned_from):
        minute = minute_of(pin.starts_at, task.start)
        if (pin.compound.name, pin.colour.name) in poured and minute < task.problem.minutes:
            found[Pin(pin.compound.name, pin.colour.name, minute, minute)] = pin.pk
    windows = windows_ready_for(task.problem.windows, [pin.start for pin in found])
    problem = replace(task.problem, pins=tuple(found), windows=windows)
    return replace(task, problem=problem, pin_ids=tuple(found.items()))


def pins_missed(*, now: datetime) -> tuple[PinMissed, ...]:
    """Mixes put to a time by hand that the newest plan could not leave there. Two queries."""
    plan = newest_plan()
    if plan is None:
        return ()
    missed = pins_that_hold(now).exclude(planned__plan=plan)
    return tuple(PinMissed(pin.pk, pin.colour.name, pin.starts_at) for pin in missed)
