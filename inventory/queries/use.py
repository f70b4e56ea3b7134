"""How much of each material was used, day by day."""

from __future__ import annotations

import statistics
from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import Case, F, Max, Min, Q, Value, When
from django.utils import timezone

from inventory.models import Entry, Place, Posting

USED_AT = (Place.Kind.MIX, Place.Kind.PIECE, Place.Kind.PARCEL)


@dataclass(frozen=True)
class DailyUse:
    """Mean and sample standard deviation of the use per day (thousandths)."""

    mean: float
    sd: float


def daily_use(until: date, days: int) -> dict[int, DailyUse]:
    """Use of each material over the `days` days before `until`, days without use counted as zero.

    What was undone is taken off the day it was undone. Three queries, which read the postings of these days
    only.
    """
    used: dict[int, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    used_at = list(Place.objects.filter(kind__in=USED_AT).values_list("pk", flat=True))
    rows = (
        Entry.objects.filter(happened_between(until - timedelta(days=days), until))
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


def happened_between(since: date, before: date | None = None) -> Q:
    """The condition on entries of what happened from the day `since` to the day before `before`. One query.

    Beside the days it names the numbers of the postings they lie between: told only the days PostgreSQL reads
    every entry there ever was (measured: 190 ms of a million for four weeks).
    """
    ends_at = midnight(before) if before else datetime.max.replace(tzinfo=UTC)
    days = Q(happened_at__gte=midnight(since), happened_at__lt=ends_at)
    # By adding nothing neither end is looked for along the whole row of numbers.
    number = F("pk") + Value(0)
    ends = Posting.objects.filter(days).aggregate(least=Min(number), most=Max(number))
    return Q(
        posting__gte=ends["least"] or 0,
        posting__lte=ends["most"] or 0,
        posting__happened_at__gte=midnight(since),
        posting__happened_at__lt=ends_at,
    )


def midnight(day: date) -> datetime:
    """The instant at which a day of the studio begins, on days of 23 and 25 hours too."""
    return datetime.combine(day, time.min, timezone.get_current_timezone())


def _spread(amounts: list[int], days: int) -> DailyUse:
    each_day = [max(0, amount) for amount in amounts] + [0] * (days - len(amounts))
    return DailyUse(mean=statistics.fmean(each_day), sd=statistics.stdev(each_day) if days > 1 else 0.0)
