"""What the newest plan says of whoever wants something."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from production.models import PlannedCast, PlannedLine
from production.queries.progress import plans_that_count


@dataclass(frozen=True)
class LineForecast:
    """One demand in the plan, all its boards together: the last of them tells.

    `packed_at` is None when some of it has no place in the calendar. `pours_at` are the starts of the mixes
    that are still to be mixed for it. `held_by` and `held_facts` say what makes it late, "" when it is not.
    """

    packed_at: datetime | None
    days_late: int
    held_by: str
    held_facts: Mapping[str, Any]
    pours_at: tuple[datetime, ...]


def line_forecasts() -> dict[str, LineForecast]:
    """What the newest plan says, by `wanted_by`; empty without a plan. Two queries."""
    newest = plans_that_count().values("id")[:1]
    boards: dict[str, list[PlannedLine]] = defaultdict(list)
    for line in PlannedLine.objects.filter(plan__in=newest).order_by("board"):
        boards[line.wanted_by].append(line)
    pours: dict[str, set[datetime]] = defaultdict(set)
    ahead = PlannedCast.objects.filter(planned_mix__plan__in=newest, planned_mix__mix__isnull=True)
    for wanted_by, starts_at in ahead.values_list("line__wanted_by", "planned_mix__starts_at"):
        pours[wanted_by].add(starts_at)
    return {
        wanted_by: _forecast(lines, tuple(sorted(pours[wanted_by]))) for wanted_by, lines in boards.items()
    }


def _forecast(lines: list[PlannedLine], pours_at: tuple[datetime, ...]) -> LineForecast:
    # A board without a place is the worst of all, and has no instant to compare.
    worst = max(lines, key=lambda line: (line.packed_at is None, line.days_late, line.held_by != ""))
    packed = [line.packed_at for line in lines if line.packed_at is not None]
    return LineForecast(
        packed_at=max(packed) if len(packed) == len(lines) else None,
        days_late=max(line.days_late for line in lines),
        held_by=worst.held_by,
        held_facts=worst.held_facts,
        pours_at=pours_at,
    )
