"""How long a material takes to come once it is ordered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from inventory.arithmetic.projection import NoWorkingDay, in_by_day
from inventory.models import Material
from inventory.queries.running_out import LEAD_DAYS_UNKNOWN


@dataclass(frozen=True)
class LeadTime:
    """A material with the working days its supplier takes, and those allowed beyond them.

    `is_known` is False where no supplier is noted: then the usual days are reckoned.
    """

    material_id: int
    name: str
    unit: str
    lead_days: int
    slack_days: int
    is_known: bool

    def in_by(self, ordered_on: date, is_working_day: Callable[[date], bool]) -> date:
        """The day by which it is in if it is ordered on a day; calendar days where nobody is ever in."""
        days = self.lead_days, self.slack_days
        try:
            return in_by_day(ordered_on, lead_days=days[0], slack_days=days[1], is_working_day=is_working_day)
        except NoWorkingDay:
            return in_by_day(ordered_on, lead_days=days[0], slack_days=days[1])


def lead_times() -> dict[int, LeadTime]:
    """Names and lead times of all materials, by id. One query."""
    rows = Material.objects.select_related("supplier")
    return {
        row.pk: LeadTime(
            material_id=row.pk,
            name=row.name,
            unit=row.unit,
            lead_days=row.supplier.lead_working_days if row.supplier else LEAD_DAYS_UNKNOWN,
            slack_days=row.slack_days,
            is_known=row.supplier is not None,
        )
        for row in rows
    }
