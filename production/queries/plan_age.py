"""Whether the newest plan is old: what came since that it does not know."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from inventory.queries.acts import acts_since, answers_since
from production.models import Plan
from production.queries.overruns import overrun
from production.queries.progress import mix_numbers_ahead, newest_plan, planned_mixes_ahead

# Acts are named by whoever does them; after these the plan may want other pours than it has.
DEMAND_ACTS = (
    "orders.type_order",
    "orders.undo_type_order",
    "orders.change_order",
    "orders.undo_change_order",
    "orders.keep_file",
    "orders.undo_keep_file",
    "orders.call_off",
    "orders.undo_call_off",
    "orders.set_wish",
    "orders.undo_set_wish",
)
SHORT = "Casts came out short since this plan."
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
FREE_DAY_ACTS = (
    "production.keep_day_free",
    "production.undo_keep_day_free",
    "production.give_day_back",
    "production.undo_give_day_back",
)
MOULD_ACTS = (
    "production.add_copies",
    "production.undo_add_copies",
    "production.lend_copy",
    "production.undo_lend_copy",
    "production.bring_back_copy",
    "production.undo_bring_back_copy",
    "production.retire_copy",
    "production.undo_retire_copy",
    "production.retire_mould",
    "production.undo_retire_mould",
    "production.take_up_mould",
    "production.undo_take_up_mould",
)
DELIVERY_ACTS = (
    "inventory.expect_delivery",
    "inventory.place_order",
    "inventory.put_off_delivery",
    "inventory.call_off_delivery",
)
# What is weighed out for a mix is in the plan, and what comes in was expected; counts and spills are not.
STORES_ACTS = (
    "inventory.count_container",
    "inventory.post_round",
    "inventory.undo_round",
    "inventory.note_spill",
)
CHANGED = (
    (DEMAND_ACTS, "Orders changed since this plan."),
    (FREE_DAY_ACTS, "Days kept free of pours changed since this plan."),
    (HOURS_ACTS, "Hours with hands in changed since this plan."),
    (MOULD_ACTS, "Copies of moulds came or went since this plan."),
    (DELIVERY_ACTS, "Deliveries changed since this plan."),
    (STORES_ACTS, "What the tubs hold changed since this plan."),
    (BENCH_ACTS, SHORT),
)
LEARNT, UNLEARNT = "production.take_time_over", "production.undo_take_time_over"
LEARNT_SAID_FOR = timedelta(weeks=4)
AGES_THE_PLAN = frozenset(name for names, _ in CHANGED for name in names) | {
    "production.judge_cast",
    LEARNT,
    UNLEARNT,
}
"""Acts after which the newest plan may be old."""


def why_plan_is_old(*, now: datetime) -> str:
    """Why the newest plan is old, "" while it is not and before the first. Twelve queries at most."""
    plan = newest_plan()
    if plan is None:
        return ""
    ahead = planned_mixes_ahead()
    numbers = mix_numbers_ahead(ahead)
    return why_old(plan, ((numbers[one.pk], one.starts_at) for one in ahead), now=now)


def why_old(plan: Plan, ahead: Iterable[tuple[int, datetime]], *, now: datetime) -> str:
    """Why a plan is old, "" while it is not; one reason is enough. Nine queries at most.

    `ahead` are number and planned start of its mixes that were not started, in order of time.
    """
    done = acts_since(plan.adopted_at, AGES_THE_PLAN)
    for names, sentence in CHANGED:
        if done & set(names):
            return sentence
    learnt = learnt_since(plan) if done & {LEARNT, UNLEARNT} else ""
    if learnt:
        return learnt
    # A scrap cast becomes no piece, so it is the judging that tells.
    judged = answers_since(plan.adopted_at, "production.judge_cast")
    if any(answer["outcome"] != "good" for answer in judged):
        return SHORT
    return overrun(plan, ahead, now=now)


def learnt_since(plan: Plan) -> str:
    """The last time that was learnt or put back since a plan, as a sentence; "" for none. Two queries."""
    learnt = answers_since(plan.adopted_at, LEARNT)
    if learnt:
        return str(learnt[-1]["sentence"])
    # What was learnt and put back after the plan was made does not matter to it.
    back = [
        answer
        for answer in answers_since(plan.adopted_at, UNLEARNT)
        if datetime.fromisoformat(answer["taken_at"]) <= plan.adopted_at
    ]
    return f"{back[-1]['what']} is as before again." if back else ""


def learnt_for(plan: Plan) -> tuple[str, ...]:
    """The times learnt in the four weeks before a plan, which it reckons with, the last first. One query."""
    answers = answers_since(plan.adopted_at - LEARNT_SAID_FOR, LEARNT)
    sentences = [
        answer["sentence"]
        for answer in reversed(answers)
        if datetime.fromisoformat(answer["taken_at"]) <= plan.adopted_at
    ]
    return tuple(dict.fromkeys(sentences))
