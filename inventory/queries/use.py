"""How much of each material was used, day by day."""

from __future__ import annotations

import statistics
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Sum
from django.db.models.functions import TruncDate

from inventory.models import Entry, Place

USED_AT = (Place.Kind.MIX, Place.Kind.PIECE, Place.Kind.PARCEL)


@dataclass(frozen=True)
class DailyUse:
    """Mean and sample standard deviation of the use per day (thousandths)."""

    mean: float
    sd: float


def daily_use(until: date, days: int) -> dict[int, DailyUse]:
    """Use of each material over the `days` days before `until`, days without use counted as zero.

    What was undone is taken off the day it was undone. Two queries.
    """
    used: dict[int, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for place, sign in (("destination", 1), ("source", -1)):
        rows = (
            Entry.objects.filter(**{f"{place}__kind__in": USED_AT})
            .annotate(day=TruncDate("posting__happened_at"))
            .filter(day__gte=until - timedelta(days=days), day__lt=until)
            .values_list("lot__material", "day")
            .annotate(used=Sum("amount"))
            .order_by()
        )
        for material_id, day, amount in rows:
            used[material_id][day] += sign * amount
    return {material_id: _spread(list(by_day.values()), days) for material_id, by_day in used.items()}


def _spread(amounts: list[int], days: int) -> DailyUse:
    each_day = [max(0, amount) for amount in amounts] + [0] * (days - len(amounts))
    return DailyUse(mean=statistics.fmean(each_day), sd=statistics.stdev(each_day) if days > 1 else 0.0)
