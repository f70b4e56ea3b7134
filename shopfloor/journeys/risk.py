"""Catching up with life: which orders are at risk since the plan was made, as conditions for notices."""

from __future__ import annotations

from datetime import datetime

from django.urls import reverse

from inventory.conditions import Condition
from inventory.ports import Studio
from orders.demand import open_demand
from production.queries.plan_age import why_plan_is_old
from production.queries.problem import build_problem
from production.queries.risk import orders_at_risk

AT_RISK = "at risk"
CAUSE_LETTERS = 80


def risk_conditions(studio: Studio, *, now: datetime) -> list[Condition]:
    """A condition for each order that the plan had in time and that is late as things are.

    Nothing while the plan is not old: what is late then is late in the plan, and the Week says so. Plays the
    plan again from now, so it belongs into a job, not into a page.
    """
    happened = why_plan_is_old(now=now)
    if not happened:
        return []
    task = build_problem(
        open_demand(studio.local(now).date()), now=now, hours=studio.hours, facts=studio.facts
    )
    return [
        Condition(
            cause=f"{AT_RISK} {one.ship_by} {one.label}"[:CAUSE_LETTERS],
            kind=AT_RISK,
            text=f"{one.sentence} {happened} Plan again to mend it.",
            link=reverse("production:week"),
        )
        for one in orders_at_risk(task)
    ]
