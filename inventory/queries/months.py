"""What was used and what was lost, month by month and by reason, in amounts and at cost."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import Case, CharField, F, IntegerField, QuerySet, Sum, Value, When

from inventory.models import Entry, Lot, Place, Posting
from inventory.queries.use import happened_between, midnight

USES = ("mixes", "pieces", "parcels")
LOSSES = ("lumps", "too old", "spill", "count differences")
REASONS = (*USES, *LOSSES)
_BY_PLACE = {
    Place.Kind.MIX: "mixes",
    Place.Kind.PIECE: "pieces",
    Place.Kind.PARCEL: "parcels",
    Place.Kind.SPILL: "spill",
    Place.Kind.DIFFERENCE: "count differences",
}


@dataclass(frozen=True)
class MonthRow:
    """What went of one material in one month for one reason (thousandths; minor units at its lots' prices).

    Below zero where more came back than went: a count that found more, or something undone from a month
    before.
    """

    month: date
    material_id: int
    material: str
    unit: str
    reason: str
    amount: int
    cost_minor: int


@dataclass(frozen=True)
class Months:
    """The months asked for, the earliest first, and what happened in them."""

    months: tuple[date, ...]
    rows: tuple[MonthRow, ...]

    def by_month(self) -> dict[date, Counter[str]]:
        """Cost by month and reason (minor units); sums of the rows, so that they always add up."""
        sums: dict[date, Counter[str]] = {month: Counter() for month in self.months}
        for row in self.rows:
            sums[row.month][row.reason] += row.cost_minor
        return sums

    def by_material(self) -> list[tuple[MonthRow, Counter[str], int]]:
        """For each material, the costliest first: a row that names it, amounts by reason, and the cost."""
        named: dict[int, MonthRow] = {}
        amounts: dict[int, Counter[str]] = defaultdict(Counter)
        costs: Counter[int] = Counter()
        for row in self.rows:
            named[row.material_id] = row
            amounts[row.material_id][row.reason] += row.amount
            costs[row.material_id] += row.cost_minor
        order = sorted(named, key=lambda key: (-costs[key], named[key].material))
        return [(named[key], amounts[key], costs[key]) for key in order]


def months_up_to(last: date, count: int) -> tuple[date, ...]:
    """The first days of `count` months, the last of them the month of `last`."""
    number = last.year * 12 + last.month - 1
    return tuple(date(*_month(earlier), 1) for earlier in range(number - count + 1, number + 1))


def used_by_month(last: date, count: int) -> Months:
    """Use and loss in the `count` months up to the month of `last`, as the studio's calendar has them.

    What was undone is taken off in the month it was undone, for the reason it had. At most five queries,
    which read the postings of these months only.
    """
    months = months_up_to(last, count)
    moved = _moved(months)
    lots = Lot.objects.select_related("material").in_bulk({lot_id for lot_id, *_ in moved})
    amounts: Counter[tuple[int, int, str]] = Counter()
    costs: dict[tuple[int, int, str], Fraction] = defaultdict(Fraction)
    materials = {lot.material_id: lot.material for lot in lots.values()}
    for lot_id, month, place, reason, amount in moved:
        lot = lots[lot_id]
        key = month, lot.material_id, _reason(place, reason)
        amounts[key] += amount
        costs[key] += Fraction(lot.price_minor * amount, lot.amount)
    rows = (
        MonthRow(
            month=months[month],
            material_id=material_id,
            material=materials[material_id].name,
            unit=materials[material_id].unit,
            reason=reason,
            amount=amounts[month, material_id, reason],
            cost_minor=round(costs[month, material_id, reason]),
        )
        for month, material_id, reason in sorted(amounts)
        if amounts[month, material_id, reason]
    )
    return Months(months, tuple(rows))


def _moved(months: tuple[date, ...]) -> list[tuple[int, int, str, str, int]]:
    """Lot, month's place, outside kind, reason and amount, summed by the database. Four queries."""
    kinds = dict(
        Place.objects.exclude(kind__in=(Place.Kind.CONTAINER, Place.Kind.SUPPLIER)).values_list("pk", "kind")
    )
    rows = _entries(months, kinds).annotate(
        month=Case(
            *(
                When(posting__happened_at__lt=midnight(month), then=Value(n))
                for n, month in enumerate(months[1:])
            ),
            default=Value(len(months) - 1),
            output_field=IntegerField(),
        ),
    )
    by = ("lot_id", "month", "place", "posting__reason", "posting__reverses")
    sums = list(rows.values_list(*by).annotate(total=Sum("moved")).order_by())
    # What takes back has the reason of what it takes back; few rows do, so they are looked up by themselves.
    undone = {reverses for *_, reverses, _ in sums if reverses}
    reasons = dict(Posting.objects.filter(pk__in=undone).values_list("pk", "reason"))
    return [
        (lot, month, place, reasons.get(reverses, reason), total)
        for lot, month, place, reason, reverses, total in sums
    ]


def _entries(months: tuple[date, ...], kinds: Mapping[int, str]) -> QuerySet[Entry]:
    """The entries out of the stores, and below zero those back in, with their `place` by kind."""

    def at(side: str) -> Iterable[When]:
        return (When(**{side: key}, then=Value(kind)) for key, kind in kinds.items())

    year, month = months[-1].year, months[-1].month
    end = date(year + month // 12, month % 12 + 1, 1)
    return (
        Entry.objects.filter(happened_between(months[0], end))
        .annotate(
            place=Case(*at("destination"), *at("source"), output_field=CharField()),
            moved=Case(When(destination__in=list(kinds), then=F("amount")), default=-F("amount")),
        )
        .filter(place__isnull=False)
    )


def _reason(place: str, reason: str) -> str:
    if place == Place.Kind.WASTE:
        return "lumps" if reason == "lumps" else "too old"
    return _BY_PLACE[Place.Kind(place)]


def _month(number: int) -> tuple[int, int]:
    return number // 12, number % 12 + 1
