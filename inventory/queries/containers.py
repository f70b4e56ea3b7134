"""The tubs: in a table, in a choice, one by its code."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import BigIntegerField, Count, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.arithmetic.codes import near_codes
from inventory.errors import StudioError
from inventory.models import Container, Holding, Lot
from inventory.queries.choosing import past_since, with_holdings


@dataclass(frozen=True)
class LotInTub:
    """What a tub holds of one lot (thousandths)."""

    code: str
    supplier_lot: str
    amount: int
    received_on: date
    best_before: date | None


@dataclass(frozen=True)
class TubPage:
    """One tub with what is in it. Amounts in thousandths of its unit, `tare_mg` in mg."""

    container_id: int
    place_id: int
    code: str
    role: str
    role_words: str
    material_id: int
    material: str
    kind: str
    unit: str
    tare_mg: int
    capacity: int
    held: int
    stands_at: str
    opened_at: datetime | None
    openings_count: int
    sieve_after: datetime | None
    must_sieve: bool
    is_lumpy: bool
    retired_on: date | None
    opened_days: int | None
    cautions: str
    past_since: date | None
    lots: tuple[LotInTub, ...]


def tub_page(code: str, *, now: datetime) -> TubPage:
    """The tub with this code, retired ones too. Three queries.

    Raises: StudioError when there is none, with the codes near it.
    """
    tub = with_holdings(Container.objects.filter(code=code.strip().upper())).first()
    if tub is None:
        raise _no_tub(code)
    return TubPage(
        container_id=tub.pk,
        place_id=tub.place_id,
        code=tub.code,
        role=tub.role,
        role_words=tub.role_words,
        material_id=tub.material_id,
        material=tub.material.name,
        kind=tub.material.kind,
        unit=tub.material.unit,
        tare_mg=tub.tare_mg,
        capacity=tub.capacity,
        held=tub.held,
        stands_at=tub.stands_at,
        opened_at=tub.opened_at,
        openings_count=tub.openings_count,
        sieve_after=tub.sieve_after,
        must_sieve=tub.must_sieve(now),
        is_lumpy=tub.is_lumpy,
        retired_on=tub.retired_on,
        opened_days=(now - tub.opened_at).days if tub.opened_at else None,
        cautions=tub.material.cautions,
        past_since=past_since(tub, now),
        lots=tuple(
            LotInTub(
                row.lot.code,
                row.lot.supplier_lot,
                row.amount,
                row.lot.received_on,
                row.lot.best_before,
            )
            for row in tub.place.holdings.all()
        ),
    )


def tub_to_change(code: str) -> Container:
    """The row of a tub in use, for the form that corrects it. One query.

    Raises: StudioError when there is none.
    """
    tub = tubs_in_use().filter(code=code.strip().upper()).first()
    if tub is None:
        raise _no_tub(code)
    return tub


def _no_tub(code: str) -> StudioError:
    near = near_codes(code, Container.objects.values_list("code", flat=True))
    hint = f" Near: {', '.join(near)}." if near else ""
    return StudioError(f"There is no tub {code.strip()[:8]}.{hint}", near=near)


def tubs_in_use() -> QuerySet[Container]:
    """Tubs that are not retired, with their materials, by code."""
    return Container.objects.filter(retired_on__isnull=True).select_related("material").order_by("code")


def tubs_past_opened_life(now: datetime) -> list[Container]:
    """Tubs in use that hold something past its opened life at `now`, by code. Two queries."""
    opened = tubs_in_use().filter(opened_at__isnull=False, material__opened_life_days__isnull=False)
    return [tub for tub in with_holdings(opened) if tub.held and tub.sieve_after and tub.sieve_after < now]


def tubs_with_sums() -> QuerySet[Container]:
    """Tubs in use with `holds` (thousandths) and `lots_count`, to be sorted and paged by the database."""
    held = (
        Holding.objects.filter(place=OuterRef("place"), amount__gt=0)
        .order_by()
        .values("place")
        .annotate(total=Sum("amount"), lots=Count("pk"))
    )
    return tubs_in_use().annotate(
        holds=Coalesce(Subquery(held.values("total"), output_field=BigIntegerField()), 0),
        lots_count=Coalesce(Subquery(held.values("lots"), output_field=BigIntegerField()), 0),
    )


def lots_with_sums() -> QuerySet[Lot]:
    """Lots with their materials and suppliers and what is `left` of them (thousandths), the latest first."""
    left = (
        Holding.objects.filter(lot=OuterRef("pk"))
        .order_by()
        .values("lot")
        .annotate(total=Sum("amount"))
        .values("total")
    )
    return (
        Lot.objects.select_related("material", "supplier")
        .annotate(left=Coalesce(Subquery(left, output_field=BigIntegerField()), 0))
        .order_by("-received_on", "-pk")
    )


def lot_by_code(code: str) -> Lot:
    """The lot with this code, with `left`. One query.

    Raises: StudioError when there is none, with the codes near it.
    """
    lot = lots_with_sums().filter(code=code.strip().upper()).first()
    if lot is None:
        near = near_codes(code, Lot.objects.values_list("code", flat=True))
        hint = f" Near: {', '.join(near)}." if near else ""
        raise StudioError(f"There is no lot {code.strip()[:16]}.{hint}", near=near)
    return lot
