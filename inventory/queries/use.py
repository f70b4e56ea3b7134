"""How much of each material was used, day by day."""

from __future__ import annotations

import statistics
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Case, F, When
from django.utils import timezone

from inventory.models import Entry, Place

USED_AT = (Place.Kind.MIX, Place.Kind.PIECE, Place.Kind.PARCEL)


@dataclass(frozen=True)
class DailyUse:
    """Mean and sample standard deviation of the use per day (thousandths)."""

    mean: float
    sd: float


def daily_use(until: date, days: int) -> dict[int, DailyUse]:
    """Use of each material over the `days` days before `until`, days without use counted as zero.

    What was undone is taken off the day it was undone. Two queries, which read the postings of these days
    only: the condition on the places is worded so that no index on them tempts the database to read every
    year.
    """
    used: dict[int, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    used_at = list(Place.objects.filter(kind__in=USED_AT).values_list("pk", flat=True))
    rows = (
        Entry.objects.filter(
            posting__happened_at__gte=midnight(until - timedelta(days=days)),
            posting__happened_at__lt=midnight(until),
        )
        .annotate(
            used=Case(
                When(destination__in=used_at, then=F("amount")),
                When(source__in=used_at, then=-F("amount")),
            )
        )
        .filter(used__isnull=False)
        .values_list("lot__material", "posting__happened_at", "used")
    )
    for material_id, happened_at, amount in rows.order_by():
        used[material_id][timezone.localtime(happened_at).date()] += amount
    return {material_id: _spread(list(by_day.values()), days) for material_id, by_day in used.items()}


def midnight(day: date) -> datetime:
    """The instant at which a day of the studio begins, on days of 23 and 25 hours too."""
    return datetime.combine(day, time.min, timezone.get_current_timezone())


def _spread(amounts: list[int], days: int) -> DailyUse:
    each_day = [max(0, amount) for amount in amounts] + [0] * (days - len(amounts))
    return DailyUse(mean=statistics.fmean(each_day), sd=statistics.stdev(each_day) if days > 1 else 0.0)
