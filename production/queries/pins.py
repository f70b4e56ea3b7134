"""What later plans have to keep to: mixes put to a time by hand, and days kept free of pours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from django.db.models import QuerySet
from django.utils.timezone import localtime

from production.models import DayKeptFree, MixPin
from production.planning.calendar import minute_of
from production.planning.moving import windows_ready_for
from production.planning.no_pours import NoPours
from production.planning.problem import Pin
from production.queries.planning_task import PlanningTask
from production.queries.progress import newest_plan

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class PinMissed:
    """A mix put to a time by hand for which the newest plan has no mix there."""

    id: int
    colour: str
    starts_at: datetime


def days_kept_free(now: datetime) -> QuerySet[DayKeptFree]:
    """Days from today on that are kept free of pours, of a colour or of all."""
    return (
        DayKeptFree.objects.filter(given_back_at__isnull=True, day__gte=localtime(now).date())
        .select_related("colour")
        .order_by("day", "colour__name", "pk")
    )


def pins_that_hold(now: datetime) -> QuerySet[MixPin]:
    """Pins whose time is to come, and that were neither released nor poured."""
    return (
        MixPin.objects.filter(released_at__isnull=True, starts_at__gte=now)
        .exclude(planned__mix__isnull=False)
        .select_related("compound", "colour")
        .order_by("starts_at", "pk")
    )


def with_pins(task: PlanningTask) -> PlanningTask:
    """The task with the pins that hold, hands that end what they do before a pinned minute, and the days
    that are kept free of pours. Two queries.

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
    problem = replace(task.problem, pins=tuple(found), windows=windows, no_pours=_no_pours(task))
    return replace(task, problem=problem, pin_ids=tuple(found.items()))


def _no_pours(task: PlanningTask) -> tuple[NoPours, ...]:
    """The hours of the days that are kept free, from midnight to midnight. One query."""
    zone = task.start.tzinfo
    assert zone is not None

    def midnight(day: date) -> int:
        return minute_of(datetime.combine(day, time(), tzinfo=zone), task.start)

    return tuple(
        NoPours(
            None, kept.colour.name if kept.colour else None, midnight(kept.day), midnight(kept.day + ONE_DAY)
        )
        for kept in days_kept_free(task.planned_from)
    )


def pins_missed(*, now: datetime) -> tuple[PinMissed, ...]:
    """Mixes put to a time by hand that the newest plan could not leave there. Two queries."""
    plan = newest_plan()
    if plan is None:
        return ()
    missed = pins_that_hold(now).exclude(planned__plan=plan)
    return tuple(PinMissed(pin.pk, pin.colour.name, pin.starts_at) for pin in missed)
