"""Catching up with life: which orders are at risk since the plan was made, as conditions for notices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from time import perf_counter
from typing import Any

from django.urls import reverse

from inventory.conditions import Condition
from inventory.ports import Studio
from inventory.queries.acts import newest_act_id
from orders.demand import open_demand
from production.queries.plan_age import why_plan_is_old
from production.queries.problem import build_problem
from production.queries.risk import orders_at_risk

AT_RISK = "at risk"
CAUSE_LETTERS = 80
# A long order file puts thousands at risk at once; the top of a page is not the place to list them.
TOLD_MOST = 12
# Where nothing is done time alone puts orders at risk: a mix that is not started is later every minute.
LOOK_AGAIN_AFTER = timedelta(minutes=10)
# Of a big week's worker no more than a twentieth goes into looking.
PAUSE_PER_SECOND_OF_LOOK = 20


@dataclass(frozen=True)
class RiskLook:
    """What a look found, None where it did not look; `mark` is for the look after it."""

    conditions: list[Condition] | None
    mark: dict[str, Any]


def look_at_risk(studio: Studio, *, now: datetime, last: Mapping[str, Any]) -> RiskLook:
    """Look for orders at risk if anything was done since the last look, or that is a while ago.

    `last` holds the mark of the last look. A look that takes long is not followed by another at once.
    """
    newest = newest_act_id()
    if not why_plan_is_old(now=now):
        return RiskLook([], {})
    if "looked_at" in last:
        since = now - datetime.fromisoformat(last["looked_at"])
        pause = timedelta(seconds=PAUSE_PER_SECOND_OF_LOOK * last["took_seconds"])
        if timedelta(0) <= since < (LOOK_AGAIN_AFTER if last["newest_act"] == newest else pause):
            return RiskLook(None, {name: last[name] for name in ("looked_at", "newest_act", "took_seconds")})
    began = perf_counter()
    found = risk_conditions(studio, now=now)
    took = round(perf_counter() - began, 2)
    return RiskLook(found, {"looked_at": now.isoformat(), "newest_act": newest, "took_seconds": took})


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
    found, week = orders_at_risk(task), reverse("production:week")
    told = [
        Condition(
            cause=f"{AT_RISK} {one.ship_by} {one.label}"[:CAUSE_LETTERS],
            kind=AT_RISK,
            text=f"{one.sentence} {happened}{'' if one.cannot else ' Plan again to mend it.'}",
            link=week,
        )
        for one in found[:TOLD_MOST]
    ]
    if more := len(found) - len(told):
        leave = "leaves later is" if more == 1 else "leave later are"
        text = f"{more} more that {leave} at risk too. Plan again to mend it."
        told.append(Condition(cause=f"{AT_RISK}, more", kind=AT_RISK, text=text, link=week))
    return told
