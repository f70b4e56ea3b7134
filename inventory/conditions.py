"""What is worth a notice in the stores right now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.urls import reverse
from django.utils.timezone import localtime

from inventory.queries.containers import tubs_past_opened_life
from inventory.queries.deliveries import late_deliveries
from inventory.queries.running_out import running_out
from inventory.queries.wording import full_day, in_words, week_day


@dataclass(frozen=True)
class Condition:
    """One cause that lasts until it is gone: `cause` is its stable name, `text` says it, `link` leads to it.

    Every app's conditions are of this shape; `kind` is one that the notices know.
    """

    cause: str
    kind: str
    text: str
    link: str


def low_materials(
    today: date,
    planned_draws: Mapping[int, Sequence[tuple[date, int]]],
    is_working_day: Callable[[date], bool],
) -> list[Condition]:
    """A condition for each material that falls below its level within the days looked ahead.

    The text carries the last day to order. Queries as `running_out`.
    """
    return [
        Condition(
            cause=f"low material {row.material_id}",
            kind="low",
            text=row.sentence,
            link=reverse("inventory:stores"),
        )
        for row in running_out(today, planned_draws, is_working_day)
        if row.flag
    ]


def deliveries_late(today: date) -> list[Condition]:
    """A condition for each thing ordered that should be in by now, until it is in, put off or called off.

    One query.
    """
    return [
        Condition(
            cause=f"late delivery {one.pk}",
            kind="delivery",
            text=f"{in_words(one.amount, one.material.unit)} {one.material.name}"
            f"{f' from {one.order.supplier.name}' if one.order else ''} was expected"
            f" {week_day(one.expected_on, today)} and is not in.",
            link=reverse("inventory:placed"),
        )
        for one in late_deliveries(today)
    ]


def opened_lives_over(now: datetime) -> list[Condition]:
    """A condition for each tub that holds something past its opened life, until it is empty or refilled.

    Two queries.
    """
    return [
        Condition(
            cause=f"opened life {tub.pk}",
            kind="opened life",
            text=f"{tub.code}, {tub.material.name}: its opened life is over since"
            f" {full_day(localtime(tub.sieve_after).date())}, and it holds"
            f" {in_words(tub.held, tub.material.unit)}."
            f" {'Sieve what comes out' if tub.material.kind == 'powder' else 'Try it before it is used'}"
            ", or note it as too old.",
            link=reverse("inventory:tub", args=[tub.code]),
        )
        for tub in tubs_past_opened_life(now)
    ]
