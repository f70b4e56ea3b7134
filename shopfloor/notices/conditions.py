"""What is worth a notice right now, collected from the apps."""

from __future__ import annotations

from datetime import datetime

from inventory.conditions import Condition, deliveries_late, low_materials, opened_lives_over
from inventory.ports import Studio
from production.conditions import cures_complete, moulds_to_open
from shopfloor.backups.queries import copies_failed


def conditions(studio: Studio, *, now: datetime) -> list[Condition]:
    """Everything worth a notice at `now`. A fixed number of queries."""
    today = studio.local(now).date()
    return [
        *low_materials(today, studio.planned_draws(), studio.hours.is_working_day),
        *deliveries_late(today),
        *opened_lives_over(now),
        *moulds_to_open(now=now),
        *cures_complete(now=now),
        *copies_failed(),
    ]
