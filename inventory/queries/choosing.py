"""Which tub comes first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from inventory.arithmetic.which_first import Freshness, first_expired_first_out
from inventory.errors import NotEnoughInContainer
from inventory.models import Container, Holding
from inventory.queries.wording import in_words


@dataclass(frozen=True)
class OtherTub:
    """Another tub of the same material, and what it holds (thousandths)."""

    container_id: int
    code: str
    held: int


@dataclass(frozen=True)
class TubChoice:
    """The tub to weigh from: what it holds (thousandths), whether to sieve, and what other tubs hold."""

    container_id: int
    code: str
    held: int
    sieve: bool
    others: tuple[OtherTub, ...]


def tub_to_weigh_from(material_id: int, *, now: datetime) -> TubChoice | None:
    """The tub to weigh from next, or None when no tub holds the material.

    `sieve` is true when lumps were seen in it or its opened life is over at `now`. Three queries.
    """
    filled = [(tub, _held(tub)) for tub in tubs_in_use_order(material_id) if _held(tub)]
    if not filled:
        return None
    (first, held), *others = filled
    return TubChoice(
        container_id=first.pk,
        code=first.code,
        held=held,
        sieve=first.must_sieve(now),
        others=tuple(OtherTub(tub.pk, tub.code, amount) for tub, amount in others),
    )


def tubs_in_use_order(material_id: int) -> list[Container]:
    """The tubs in use of a material in the order to take from them; with material and holdings above zero.

    Working tubs before bulk tubs, since they are filled so that the bulk tub stays shut; among each, opened
    before unopened, then the earliest best before, then the earliest received. Three queries.
    """
    tubs = (
        Container.objects.filter(material=material_id, retired_on__isnull=True)
        .select_related("material", "place")
        .prefetch_related(
            Prefetch("place__holdings", Holding.objects.filter(amount__gt=0).select_related("lot"))
        )
    )
    in_order = first_expired_first_out(tubs, _freshness)
    return sorted(in_order, key=lambda tub: tub.role != Container.Role.WORKING)


def not_enough(tub: Container, there: int, amount: int) -> NotEnoughInContainer:
    """The refusal of a draw (thousandths): what is there, and where more is. Three queries."""
    unit = tub.material.unit
    more = {other.code: _held(other) for other in tubs_in_use_order(tub.material_id) if other.pk != tub.pk}
    named = ", ".join(f"{code} {in_words(held, unit)}" for code, held in more.items() if held)
    where = f"More is in {named}." if named else f"No other tub has {tub.material.name}."
    return NotEnoughInContainer(
        f"{tub.code} holds {in_words(there, unit)}, and {in_words(amount, unit)} is asked for. {where}",
        container=tub.code,
        held=there,
        amount=amount,
        more={code: held for code, held in more.items() if held},
    )


def _freshness(tub: Container) -> Freshness:
    lots = [row.lot for row in tub.place.holdings.all()]
    return Freshness(
        is_opened=tub.opened_at is not None,
        best_before=min((lot.best_before for lot in lots if lot.best_before), default=None),
        received_on=min((lot.received_on for lot in lots), default=None),
        code=tub.code,
    )


def _held(tub: Container) -> int:
    return sum(row.amount for row in tub.place.holdings.all())
