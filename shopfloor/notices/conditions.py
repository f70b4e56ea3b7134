"""What is worth a notice right now, collected from the apps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from inventory.conditions import low_materials
from production.conditions import cures_complete, moulds_to_open
from shopfloor.studio.port import LiveStudio


@dataclass(frozen=True)
class Condition:
    """A cause that lasts until it is gone: `cause` is its stable key, `kind` a Notice.Kind."""

    cause: str
    kind: str
    text: str
    link: str


def conditions(studio: LiveStudio, *, now: datetime) -> list[Condition]:
    """Everything worth a notice at `now`. A fixed number of queries."""
    today = studio.local(now).date()
    low = low_materials(today, studio.planned_draws(), studio.hours.is_working_day)
    found = [Condition(one.key, one.kind, one.text, one.link) for one in low]
    for one in (*moulds_to_open(now=now), *cures_complete(now=now)):
        found.append(Condition(one.cause, one.kind, one.text, one.link))
    return found
