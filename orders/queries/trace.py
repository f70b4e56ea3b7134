"""Where pieces went: the orders' half of a trace."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from orders.models import Assignment, Order, ParcelDraw, ParcelPiece, Return

IDS_AT_ONCE = 20_000


@dataclass(frozen=True)
class WentTo:
    """The order a piece is kept for or left with."""

    number: str
    customer: str
    shipped_at: datetime | None


@dataclass(frozen=True)
class ToTell:
    """Somebody who got pieces, or a market day: with address, what it was, and when the first of it left."""

    number: str
    customer: str
    address: str
    customer_id: int | None
    shipped_on: date | None
    marks: tuple[str, ...]


@dataclass(frozen=True)
class PackedIn:
    """What one parcel was packed in, of one lot and tub; `amount` in thousandths of the unit."""

    order: str
    lot: str
    material: str
    unit: str
    supplier: str
    supplier_lot: str
    received_on: date
    tub: str
    amount: int


def went_to(piece_ids: Iterable[int]) -> Mapping[int, WentTo]:
    """Order and customer of each piece; pieces kept for nobody are left out. One query."""
    found: dict[int, WentTo] = {}
    for ids in _chunks(piece_ids):
        rows = Assignment.objects.filter(piece_id__in=ids).values_list(
            "piece_id", "line__order__number", "line__order__customer__name", "piece__shipped_at"
        )
        found |= {
            piece: WentTo(number, customer or "", shipped_at) for piece, number, customer, shipped_at in rows
        }
    return found


def came_back_from(piece_ids: Iterable[int]) -> Mapping[int, str]:
    """Number of the order that each piece left with and came back from, for those that did."""
    return {
        piece: number
        for ids in _chunks(piece_ids)
        for piece, number in Return.objects.filter(piece_id__in=ids).values_list(
            "piece_id", "parcel__order__number"
        )
    }


def whom_to_tell(piece_ids: Iterable[int]) -> list[ToTell]:
    """Every order that pieces of these left with, with what is known of whom, soonest shipped first."""
    marks: dict[int, list[str]] = defaultdict(list)
    left: dict[int, datetime] = {}
    for ids in _chunks(piece_ids):
        rows = Assignment.objects.filter(piece_id__in=ids, piece__shipped_at__isnull=False).order_by("id")
        for order, mark, shipped_at in rows.values_list("line__order", "piece__mark", "piece__shipped_at"):
            marks[order].append(mark)
            if shipped_at is not None:
                left[order] = min(left.get(order, shipped_at), shipped_at)
    orders = Order.objects.filter(pk__in=marks).select_related("customer")
    found = [
        ToTell(
            number=order.number,
            customer=order.customer.name if order.customer else "market day",
            address=order.customer.address if order.customer else "",
            customer_id=order.customer_id,
            shipped_on=localdate(left[order.pk]),
            marks=tuple(marks[order.pk]),
        )
        for order in orders
    ]
    return sorted(found, key=lambda one: (one.shipped_on or date.min, one.number))


def pieces_of_order(number: str) -> list[int]:
    """Ids of the pieces kept for or shipped with an order. One query."""
    found = Assignment.objects.filter(line__order__number__iexact=number).order_by("id")
    return list(found.values_list("piece", flat=True))


def pieces_of_customer(name: str) -> list[int]:
    """Ids of the pieces of every order of the customers of that name. One query."""
    found = Assignment.objects.filter(
        line__order__customer__name__iexact=name, line__order__customer__erased_at__isnull=True
    )
    return list(found.order_by("id").values_list("piece", flat=True))


def pieces_packed_in(code: str) -> tuple[str, list[int]]:
    """Whether `code` is the lot or tub of something parcels were packed in, and the pieces in them.

    ("", []) for any other code. Three queries at most.
    """
    for kind, field in (("Lot", "lot"), ("Tub", "container")):
        drawn = ParcelDraw.objects.filter(**{f"{field}__code__iexact": code})
        parcels = list(drawn.values_list("parcel", flat=True).distinct().order_by("parcel"))
        if parcels:
            return kind, sorted(piece for piece, _ in _places(parcel__in=parcels))
    return "", []


def packed_in(piece_ids: Iterable[int]) -> list[PackedIn]:
    """What the parcels with any of these pieces were packed in, by order. Three queries."""
    parcels = {parcel for ids in _chunks(piece_ids) for _, parcel in _places(piece__in=ids)}
    rows = [
        row
        for ids in _chunks(sorted(parcels))
        for row in ParcelDraw.objects.filter(parcel__in=ids)
        .order_by("parcel", "id")
        .values_list(
            "parcel__order__number", "lot__code", "material__name", "material__unit", "lot__supplier__name",
            "lot__supplier_lot", "lot__received_on", "container__code", "amount",
        )
    ]  # fmt: skip
    return [
        PackedIn(order, lot, material, unit, supplier or "", theirs, came, tub, amount)
        for order, lot, material, unit, supplier, theirs, came, tub, amount in rows
    ]


def _places(**which: object) -> set[tuple[int, int]]:
    """Pieces with the parcels they left in, those that came back among them."""
    left = ParcelPiece.objects.filter(parcel__shipped_at__isnull=False, **which)
    return {
        *left.values_list("piece", "parcel"),
        *Return.objects.filter(**which).values_list("piece", "parcel"),
    }


def _chunks(ids: Iterable[int]) -> Iterator[list[int]]:
    all_ids = list(ids)
    for start in range(0, len(all_ids), IDS_AT_ONCE):
        yield all_ids[start : start + IDS_AT_ONCE]
