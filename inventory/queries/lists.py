"""The rows of the lists of the stores, narrowed by the database: one query each, sorted and paged later."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.db.models import (
    BigIntegerField,
    Case,
    CharField,
    Count,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from inventory.models import Container, Delivery, Entry, Holding, Lot, Material, Supplier
from inventory.queries.containers import lots_with_sums, tubs_with_sums
from inventory.queries.use import midnight

OPEN = Q(received_lot__isnull=True, cancelled_on__isnull=True)


def material_rows(*, find: str | None = None, kind: str | None = None) -> QuerySet[Material]:
    """Materials in use with what is `held` of them (thousandths) and `tubs_count`."""
    held = (
        Holding.objects.filter(amount__gt=0, lot__material=OuterRef("pk"))
        .order_by()
        .values("lot__material")
        .annotate(total=Sum("amount"))
        .values("total")
    )
    tubs = (
        Container.objects.filter(material=OuterRef("pk"), retired_on__isnull=True)
        .order_by()
        .values("material")
        .annotate(count=Count("pk"))
        .values("count")
    )
    rows = Material.objects.filter(retired_on__isnull=True).select_related("supplier")
    if find:
        rows = rows.filter(Q(name__icontains=find) | Q(supplier__name__icontains=find))
    if kind:
        rows = rows.filter(kind=kind)
    return rows.annotate(
        held=Coalesce(Subquery(held, output_field=BigIntegerField()), 0),
        tubs_count=Coalesce(Subquery(tubs, output_field=BigIntegerField()), 0),
    )


def tub_rows(
    *,
    find: str | None = None,
    material: Material | None = None,
    role: str | None = None,
    holding: str | None = None,
) -> QuerySet[Container]:
    """Tubs in use with what they hold (`holds`, thousandths) and of how many lots."""
    rows = tubs_with_sums()
    if find:
        rows = rows.filter(
            Q(code__icontains=find) | Q(material__name__icontains=find) | Q(stands_at__icontains=find)
        )
    if material:
        rows = rows.filter(material=material)
    if role:
        rows = rows.filter(role=role)
    if holding:
        rows = rows.filter(Q(holds__gt=0) if holding == "something" else Q(holds=0))
    return rows


def lot_rows(
    *,
    find: str | None = None,
    material: Material | None = None,
    supplier: Supplier | None = None,
    left: str | None = None,
    today: date,
) -> QuerySet[Lot]:
    """Lots with what is `left` of them (thousandths); `left="past"` those left past their best before."""
    rows = lots_with_sums()
    if find:
        rows = rows.filter(
            Q(code__icontains=find) | Q(supplier_lot__icontains=find) | Q(material__name__icontains=find)
        )
    if material:
        rows = rows.filter(material=material)
    if supplier:
        rows = rows.filter(supplier=supplier)
    if left:
        rows = rows.filter(Q(left__gt=0))
    if left == "past":
        rows = rows.filter(best_before__lt=today)
    return rows


def ledger_rows(
    *,
    since: date,
    until: date,
    find: str | None = None,
    kind: str | None = None,
    material: Material | None = None,
) -> QuerySet[Entry]:
    """Entries of the days from `since` to `until`, both in; reads only the postings of these days."""
    rows = Entry.objects.filter(
        posting__happened_at__gte=midnight(since),
        posting__happened_at__lt=midnight(until + timedelta(days=1)),
    ).select_related("posting__by", "lot__material", "source__container", "destination__container")
    if find:
        rows = rows.filter(
            Q(lot__code__iexact=find)
            | Q(source__container__code__iexact=find)
            | Q(destination__container__code__iexact=find)
            | Q(posting__reason__icontains=find)
            | Q(lot__material__name__icontains=find)
        )
    if kind:
        rows = rows.filter(posting__kind=kind)
    if material:
        # Worded so that the database still begins with the days, not with all that the material ever did.
        rows = rows.annotate(of=F("lot__material") + Value(0)).filter(of=material.pk)
    return rows.order_by("-posting__happened_at", "-pk")


def delivery_rows(
    *, find: str | None = None, material: Material | None = None, stands: str | None = None, today: date
) -> QuerySet[Delivery]:
    """What was ordered, with where it `stands` on the day `today`, in words, and `from_supplier`."""
    by_word = {
        "in": Q(received_lot__isnull=False),
        "off": Q(cancelled_on__isnull=False),
        "late": OPEN & Q(expected_on__lt=today),
        "open": OPEN,
    }
    rows = Delivery.objects.select_related("material", "received_lot").annotate(
        from_supplier=Coalesce(
            "order__supplier__name", "received_lot__supplier__name", "material__supplier__name"
        ),
        stands=Case(
            When(by_word["in"], then=Value("in")),
            When(by_word["off"], then=Value("called off")),
            When(by_word["late"], then=Value("late")),
            default=Value("not in yet"),
            output_field=CharField(),
        ),
    )
    if find:
        rows = rows.filter(
            Q(material__name__icontains=find)
            | Q(from_supplier__icontains=find)
            | Q(order__reference__icontains=find)
        )
    if material:
        rows = rows.filter(material=material)
    if stands:
        rows = rows.filter(by_word[stands])
    return rows.order_by("-expected_on", "-pk")


def supplier_rows(*, find: str | None = None, today: date) -> QuerySet[Supplier]:
    """Suppliers with how many materials they bring, and how many orders are not in yet and late."""
    theirs = Delivery.objects.filter(OPEN).filter(
        Q(order__supplier=OuterRef("pk")) | Q(order__isnull=True, material__supplier=OuterRef("pk"))
    )
    rows = Supplier.objects.annotate(
        materials_count=_count(Material.objects.filter(supplier=OuterRef("pk"), retired_on__isnull=True)),
        open_count=_count(theirs),
        late_count=_count(theirs.filter(expected_on__lt=today)),
    )
    return (rows.filter(name__icontains=find) if find else rows).order_by("name")


def _count(rows: QuerySet[Any]) -> Coalesce:
    """How many rows there are, as part of another query."""
    counted = rows.order_by().annotate(every=Value(1)).values("every").annotate(count=Count("pk"))
    return Coalesce(Subquery(counted.values("count"), output_field=BigIntegerField()), 0)
