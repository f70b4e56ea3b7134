"""Whether the newest plan is old: what came since that it does not know."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from inventory.queries.acts import acts_since, answers_since
from production.queries.progress import mix_numbers_ahead, newest_plan, planned_mixes_ahead
from production.queries.wording import counted

OVERDUE = timedelta(minutes=30)
# Acts are named by whoever does them; after these the plan may want other pours than it has.
DEMAND_ACTS = (
    "orders.type_order",
    "orders.undo_type_order",
    "orders.change_order",
    "orders.keep_file",
    "orders.undo_keep_file",
    "orders.call_off",
    "orders.undo_call_off",
    "orders.set_wish",
    "orders.undo_set_wish",
)
BENCH_ACTS = ("production.stop_mix", "production.judge_piece", "production.undo_start_mix")
HOURS_ACTS = (
    "studio.add_hours",
    "studio.remove_hours",
    "studio.close_days",
    "studio.open_day",
    "studio.keep_holidays",
    "studio.work_holiday",
    "studio.keep_holiday",
)


def why_plan_is_old(*, now: datetime) -> str:
    """Why the newest plan is old, "" while it is not and before the first. Five queries at most."""
    plan = newest_plan()
    if plan is None:
        return ""
    ahead = planned_mixes_ahead()
    numbers = mix_numbers_ahead(ahead)
    return why_old(plan.adopted_at, ((numbers[one.pk], one.starts_at) for one in ahead), now=now)


def why_old(adopted_at: datetime, ahead: Iterable[tuple[int, datetime]], *, now: datetime) -> str:
    """Why a plan adopted then is old, "" while it is not; one reason is enough. Two queries at most.

    `ahead` are number and planned start of its mixes that were not started, in order of time.
    """
    done = acts_since(adopted_at, (*DEMAND_ACTS, *BENCH_ACTS, *HOURS_ACTS))
    if done & set(DEMAND_ACTS):
        return "Orders changed since this plan."
    if done & set(HOURS_ACTS):
        return "Hours with hands in changed since this plan."
    # A scrap cast becomes no piece, so it is the judging that tells.
    judged = answers_since(adopted_at, "production.judge_cast")
    short = any(answer["outcome"] != "good" for answer in judged)
    if short or done & set(BENCH_ACTS):
        return "Casts came out short since this plan."
    overdue = [number for number, starts_at in ahead if starts_at + OVERDUE < now]
    if overdue:
        return f"{counted(len(overdue), 'mix')} should have been started by now, mix {overdue[0]} first."
    return ""
