"""Looks into the late lines of the plan in use: why each is late, and what would help.

Each adopted plan with late lines asks for one. It runs as a job of its own, never in a request, and ends
when a newer plan is adopted; what it found until then belongs to the plan it looked into.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.conf import settings

from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from inventory.queries.acts import acts_since
from orders.demand import open_demand
from production.operations.looking import keep_late_look
from production.planning.calm import replayed
from production.planning.looking import effort_for_looking, look_into
from production.planning.prepare import prepare
from production.queries.kept_plan import kept_plan
from production.queries.plan_age import BENCH_ACTS, DEMAND_ACTS, HOURS_ACTS
from production.queries.plan_words import looking_words
from production.queries.problem import build_problem
from production.queries.progress import newest_plan
from shopfloor.jobs.operations import ask, ask_all_to_stop
from shopfloor.jobs.queries import WHAT_HELPS
from shopfloor.studio.port import LiveStudio

# After these the orders, the hours or the casts are no longer those the plan was made from.
CHANGES = (*DEMAND_ACTS, *BENCH_ACTS, *HOURS_ACTS, "production.start_mix")
Progress = Callable[[int, int, str], None]
Stop = Callable[[], bool]


@act("shopfloor.ask_for_look")
def ask_for_look(tap: Tap) -> Done:
    """Ask for a look into the late lines of the plan in use; one that waits or runs already is the answer.

    Changes: one job row. Again: the same job.
    Raises: StudioError before the first plan.
    """
    plan = newest_plan()
    if plan is None:
        raise StudioError("There is no plan yet. Plan the week first.")
    job_id = _ask(plan.pk, tap.request_key, tap.by, tap.now)
    return Done("Looking into what is late.", {"job_id": job_id})


@act("shopfloor.stop_looking")
def stop_looking(tap: Tap) -> Done:
    """Ask the look under way to stop; what it has found by then is kept.

    Changes: the job's stop mark. Again: nothing more.
    """
    ask_all_to_stop(WHAT_HELPS, now=tap.now)
    return Done("Stopping. What was found so far is kept.")


def replace_look(*, plan_id: int, late: int, request_key: UUID, by: int | None, now: datetime) -> None:
    """Stop looks into older plans, and ask for one into this plan where something of it is late.

    Changes: job rows. Called inside the transaction that adopts the plan.
    """
    ask_all_to_stop(WHAT_HELPS, now=now)
    if late:
        _ask(plan_id, uuid5(request_key, "look"), by, now)


def look_into_plan(
    *,
    plan_id: int,
    request_key: UUID,
    by: int | None,
    now: datetime,
    studio: LiveStudio,
    on_progress: Progress | None = None,
    should_stop: Stop | None = None,
) -> Callable[[], dict[str, Any]]:
    """Look into the late lines of a plan; answers the function that keeps what was found.

    The problem is read as it was when the plan was made, so that the plan plays as it was adopted; once
    something has changed it is read as it is now, with what the plan still has ahead.

    Changes: on keeping, the look with its reasons and offers. A plan that is no longer in use is left alone.
    """
    plan = newest_plan()
    if plan is None or plan.pk != plan_id:
        return dict
    at = now if acts_since(plan.planned_from, CHANGES) else plan.planned_from
    task = build_problem(open_demand(studio.local(at).date()), now=at, hours=studio.hours, facts=studio.facts)
    keep = kept_plan(task)
    assert keep is not None
    effort = effort_for_looking(len(task.problem.lines)).share(settings.PLAN_EFFORT_PERCENT)

    def tell(phase: str, done: int, of: int) -> None:
        if on_progress:
            on_progress(done, of, looking_words(phase, done, of))

    found = look_into(
        replayed(prepare(task.problem), keep), effort=effort, on_progress=tell, should_stop=should_stop
    )

    def keep_found() -> dict[str, Any]:
        newest = newest_plan()
        if newest is None or newest.pk != plan_id:
            return {}
        key = uuid5(request_key, "keep")
        return keep_late_look(
            plan_id=plan_id, task=task, findings=found, request_key=key, by=by, now=now
        ).facts

    return keep_found


def _ask(plan_id: int, request_key: UUID, by: int | None, now: datetime) -> int:
    payload = {"plan_id": plan_id, "request_key": str(request_key), "by": by}
    return ask(WHAT_HELPS, f"{WHAT_HELPS} {plan_id}", payload, now=now)
