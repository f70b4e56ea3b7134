"""What a plan takes that is neither here nor ordered: reckoned when it is adopted, said on the Week."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import ceil
from typing import Any

from inventory.arithmetic.projection import NoWorkingDay, order_by_day
from inventory.ports import StudioHours
from inventory.queries.lead_times import LeadTime
from inventory.queries.wording import in_words, week_day
from production.planning.calendar import instant_of
from production.planning.solution import Plan as Solution
from production.planning.uses import uses_of
from production.queries.planning_task import NotOrdered, PlanningTask

THOUSANDTHS = 1000
# Below it is the noise of sums.
SLIGHT = 1e-6


@dataclass(frozen=True)
class Lacking:
    """A material to order for the plan: its name and what to know of it."""

    material_id: int
    material: str
    sentence: str


def lacking_in(task: PlanningTask, solution: Solution) -> list[dict[str, Any]]:
    """What a solved plan takes beyond what is here and ordered, as its row keeps it; the first wanted first.

    `short` is thousandths of the unit, `first_at` the first draw that lacks some, `order_by` the last day to
    order for it, which may be past.
    """
    found = []
    for supply, draws in uses_of(task.problem, solution).items():
        missing = task.not_ordered.get(supply)
        if missing is None:
            continue
        first, short = _first_short(draws, missing.here + missing.ordered)
        if first is not None:
            found.append(_as_kept(missing, instant_of(first, task.start), short, task.hours))
    return sorted(found, key=lambda one: (one["first_at"], one["material"]))


def _first_short(draws: Sequence[tuple[int, float]], there: float) -> tuple[int | None, float]:
    first, used = None, 0.0
    for minute, amount in draws:
        used += amount
        if first is None and used > there + SLIGHT:
            first = minute
    return first, used - there


def _as_kept(missing: NotOrdered, first_at: datetime, short: float, hours: StudioHours) -> dict[str, Any]:
    lead = missing.lead
    order_by = _order_by(lead, first_at.date(), hours)
    return {
        "material_id": lead.material_id,
        "material": lead.name,
        "unit": lead.unit,
        "short": ceil(short * THOUSANDTHS - SLIGHT),
        "first_at": first_at.isoformat(),
        "order_by": order_by.isoformat(),
        "in_by": missing.in_by.isoformat(),
        "lead_days": lead.lead_days + lead.slack_days,
        "is_known": lead.is_known,
    }


def _order_by(lead: LeadTime, needed_on: date, hours: StudioHours) -> date:
    is_in, lead_days, slack_days = hours.is_working_day, lead.lead_days, lead.slack_days
    try:
        return order_by_day(needed_on, lead_days=lead_days, slack_days=slack_days, is_working_day=is_in)
    except NoWorkingDay:
        return order_by_day(needed_on, lead_days=lead_days, slack_days=slack_days)


def lacking_words(kept: Sequence[Mapping[str, Any]], today: date) -> tuple[Lacking, ...]:
    """What a plan kept of it, in words: what lacks, from when, when to order, what is reckoned with."""
    return tuple(Lacking(one["material_id"], one["material"], _sentence(one, today)) for one in kept)


def _sentence(kept: Mapping[str, Any], today: date) -> str:
    first_on = datetime.fromisoformat(kept["first_at"]).date()
    order_by = max(today, date.fromisoformat(kept["order_by"]))
    when = "today" if order_by <= today else f"by {week_day(order_by, today)}"
    in_by = week_day(date.fromisoformat(kept["in_by"]), today)
    why = "" if kept["is_known"] else f" No supplier is noted: {kept['lead_days']} working days are reckoned."
    return (
        f"{in_words(kept['short'], kept['unit'])} short from {week_day(first_on, today)}, and not ordered."
        f" Order {when}; the plan takes it to be in by {in_by}.{why}"
    )
