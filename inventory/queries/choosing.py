"""Which tub comes first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, QuerySet
from django.utils.timezone import localtime

from inventory.arithmetic.which_first import Freshness, first_expired_first_out
from inventory.errors import NotEnoughInContainer
from inventory.models import Container, Holding
from inventory.queries.wording import alike, in_words


@dataclass(frozen=True)
class OtherTub:
    """Another tub of the same material, and what it holds (thousandths)."""

    container_id: int
    code: str
    held: int


@dataclass(frozen=True)
class TubChoice:
    """The tub to weigh from: what it holds (thousandths), whether to sieve, and what other tubs hold.

    `past_since` the best before of a lot in it that is over, None when all are good; `instead_of` the tub
    whose turn it is when another was asked for, "" when it is this one's.
    """

    container_id: int
    code: str
    held: int
    sieve: bool
    others: tuple[OtherTub, ...]
    past_since: date | None = None
    instead_of: str = ""


def tub_to_weigh_from(material_id: int, *, now: datetime, codes: Collection[str] = ()) -> TubChoice | None:
    """The tub to weigh from next, or the one among `codes` that was asked for; None when none holds any.

    `codes` may name tubs of other materials too, as a mix takes several. `sieve` is true when lumps were seen
    in it or its opened life is over at `now`. Two queries.
    """
    filled = [tub for tub in tubs_in_use_order(material_id) if tub.held]
    if not filled:
        return None
    first = next((tub for tub in filled if tub.code in codes), filled[0])
    others = [tub for tub in filled if tub is not first]
    return TubChoice(
        container_id=first.pk,
        code=first.code,
        held=first.held,
        sieve=first.must_sieve(now),
        others=tuple(OtherTub(tub.pk, tub.code, tub.held) for tub in others),
        past_since=past_since(first, now),
        instead_of="" if first is filled[0] else filled[0].code,
    )


def tubs_by_turn(material_ids: Collection[int]) -> dict[int, list[OtherTub]]:
    """The tubs that hold something of these materials, the one in turn first. Two queries."""
    found: dict[int, list[Container]] = defaultdict(list)
    if material_ids:
        tubs = Container.objects.filter(material__in=material_ids, retired_on__isnull=True)
        for tub in with_holdings(tubs):
            found[tub.material_id].append(tub)
    return {
        material_id: [OtherTub(tub.pk, tub.code, tub.held) for tub in in_use_order(tubs) if tub.held]
        for material_id, tubs in found.items()
    }


def past_since(tub: Container, now: datetime) -> date | None:
    """The earliest best before of what a tub with its holdings has in it, if that day is over; else None."""
    today = localtime(now).date()
    days = [row.lot.best_before for row in tub.place.holdings.all()]
    return min((day for day in days if day and day < today), default=None)


def tubs_in_use_order(material_id: int) -> list[Container]:
    """The tubs in use of a material in the order to take from them; with material and holdings above zero.

    Working tubs before bulk tubs, since they are filled so that the bulk tub stays shut; among each, opened
    before unopened, then the earliest best before, then the earliest received. Two queries.
    """
    return in_use_order(
        with_holdings(Container.objects.filter(material=material_id, retired_on__isnull=True))
    )


def in_use_order(tubs: Iterable[Container]) -> list[Container]:
    """These tubs, read with their holdings, in the order to take from them (see `tubs_in_use_order`)."""
    in_order = first_expired_first_out(tubs, _freshness)
    return sorted(in_order, key=lambda tub: tub.role != Container.Role.WORKING)


def with_holdings(tubs: QuerySet[Container]) -> QuerySet[Container]:
    """The tubs with their materials, and with what they hold above zero and its lots. Two queries."""
    held = Holding.objects.filter(amount__gt=0).select_related("lot").order_by("pk")
    return tubs.select_related("material", "place").prefetch_related(Prefetch("place__holdings", held))


def not_enough(tub: Container, there: int, amount: int) -> NotEnoughInContainer:
    """The refusal of a draw (thousandths): what is there, and where more is. Three queries."""
    unit = tub.material.unit
    more = {other.code: other.held for other in tubs_in_use_order(tub.material_id) if other.pk != tub.pk}
    named = ", ".join(f"{code} ({in_words(held, unit)})" for code, held in more.items() if held)
    where = f"More is in {named}." if named else f"No other tub has {tub.material.name}."
    held, asked = alike(unit, there, amount)
    return NotEnoughInContainer(
        f"{tub.code} holds {held}, and {asked} is asked for. {where}",
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
