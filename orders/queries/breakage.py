"""What breaks in the post, by what it was packed in."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q

from orders.arithmetic.proportion import wilson
from orders.models import Parcel, ParcelPackaging

LOOKS_BACK = timedelta(days=365)
NOT_NOTED = "nothing noted"


@dataclass(frozen=True)
class Breakage:
    """Parcels packed in the same: how many pieces they held, how many broke, and how sure the share is."""

    packed_in: str
    parcels: int
    pieces: int
    broken: int

    @property
    def percent(self) -> float:
        """Broken of a hundred."""
        return 100 * self.broken / self.pieces if self.pieces else 0.0

    @property
    def low_percent(self) -> float:
        """The least it may be, by the 95 % interval."""
        return 100 * wilson(self.broken, self.pieces)[0]

    @property
    def high_percent(self) -> float:
        """The most it may be, by the 95 % interval."""
        return 100 * wilson(self.broken, self.pieces)[1]


def breakage(*, now: datetime) -> list[Breakage]:
    """What broke of the parcels of a year, by the materials they were packed in, worst first. Two queries."""
    since = now - LOOKS_BACK
    broken = Count("returns", filter=Q(returns__why="broken in post"), distinct=True)
    freed = Count("returns", filter=Q(returns__is_free=True), distinct=True)
    parcels = (
        Parcel.objects.filter(shipped_at__gte=since)
        .annotate(boxed=Count("pieces", distinct=True), broken=broken, freed=freed)
        .values_list("pk", "boxed", "freed", "broken")
    )
    packed: dict[int, list[str]] = defaultdict(list)
    named = ParcelPackaging.objects.filter(parcel__shipped_at__gte=since).order_by("material__name")
    for parcel, name in named.values_list("parcel", "material__name"):
        packed[parcel].append(name)
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    for parcel, boxed, back, lost in parcels:
        row = sums[", ".join(packed[parcel]) or NOT_NOTED]
        row[0] += 1
        row[1] += boxed + back
        row[2] += lost
    found = [Breakage(name, *row) for name, row in sums.items()]
    return sorted(found, key=lambda row: (-row.percent, row.packed_in))
