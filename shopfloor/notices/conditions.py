"""What is worth a notice right now, collected from the apps."""

from __future__ import annotations

from datetime import datetime

from inventory.conditions import Condition, deliveries_late, low_materials, opened_lives_over
from inventory.ports import Studio
from production.conditions import moulds_near_their_end, moulds_to_open, shelf_conditions
from shopfloor.backups.queries import copies_failed
from shopfloor.notices.mail_queries import mail_failing


def conditions(studio: Studio, *, now: datetime) -> list[Condition]:
    """Everything worth a notice at `now`. A fixed number of queries."""
    today = studio.local(now).date()
    return [
        *low_materials(today, studio.planned_draws(), studio.hours.is_working_day),
        *deliveries_late(today),
        *opened_lives_over(now),
        *moulds_to_open(now=now),
        *shelf_conditions(now=now),
        *moulds_near_their_end(now=now),
        *copies_failed(),
        *mail_failing(),
    ]
