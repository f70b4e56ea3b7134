"""A round of counting: what was read, what should have been there, and what the difference is worth."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from django.contrib.auth import get_user_model
from django.db.models import F, Max, Q
from django.db.models.functions import Coalesce

from inventory.arithmetic.costing import ReceivedLot, lot_cost
from inventory.arithmetic.drawing import share_out
from inventory.models import Container, CountReading, CountRound, Entry, Lot
from inventory.queries.choosing import with_holdings


@dataclass(frozen=True)
class TubInRound:
    """One tub of the list. Amounts in thousandths; `reading` and what follows only once it was read.

    `should` is what it held at the moment of the reading by everything known now, `difference` what was found
    above (or below) that, `worth_minor` what the difference cost (below zero for a loss).
    """

    container_id: int
    code: str
    role_words: str
    material: str
    unit: str
    tare_mg: int
    capacity: int
    stands_at: str
    held: int
    reading_id: int | None
    counted: int
    gross_mg: int | None
    reason: str
    read_at: datetime | None
    read_by: str
    should: int
    worth_minor: int

    @property
    def is_read(self) -> bool:
        """Whether somebody read it in this round."""
        return self.reading_id is not None

    @property
    def difference(self) -> int:
        """What was found above what should have been there (thousandths)."""
        return self.counted - self.should if self.is_read else 0

    @property
    def cannot_post(self) -> bool:
        """Whether less is in it by now than the reading would take out."""
        return self.is_read and self.held + self.difference < 0


@dataclass(frozen=True)
class RoundPage:
    """The open round, or the list without one, by place; `shown` names exactly what would be posted."""

    round_id: int | None
    begun_at: datetime | None
    begun_by: str
    places: tuple[tuple[str, tuple[TubInRound, ...]], ...]

    @property
    def tubs(self) -> list[TubInRound]:
        """All tubs of all places."""
        return [tub for _, tubs in self.places for tub in tubs]

    @property
    def read(self) -> list[TubInRound]:
        """The tubs that were read."""
        return [tub for tub in self.tubs if tub.is_read]

    @property
    def differing(self) -> list[TubInRound]:
        """The tubs that hold something else than they should."""
        return [tub for tub in self.read if tub.difference]

    @property
    def next_code(self) -> str:
        """The first tub not read yet, "" when all are."""
        return next((tub.code for tub in self.tubs if not tub.is_read), "")

    @property
    def worth_minor(self) -> int:
        """What all differences together cost (minor units), below zero for a loss."""
        return sum(tub.worth_minor for tub in self.differing)

    @property
    def shown(self) -> str:
        """The digest of what is read and what should be there."""
        facts = [(tub.reading_id, tub.should, tub.reason) for tub in self.read]
        return hashlib.sha256(repr(facts).encode()).hexdigest()


def open_round() -> CountRound | None:
    """The round under way, if there is one. One query."""
    return CountRound.objects.select_related("begun_by").filter(is_open=True).first()


def round_page(found: CountRound | None) -> RoundPage:
    """Every tub in use by place, with what was read of it in the round `found`. Seven queries at most."""
    readings = {row.container_id: row for row in found.readings.all()} if found else {}
    tubs = list(
        with_holdings(
            Container.objects.filter(Q(retired_on__isnull=True) | Q(pk__in=list(readings)))
        ).order_by("stands_at", "code")
    )
    should = held_when_read([(tub, readings[tub.pk]) for tub in tubs if tub.pk in readings])
    last = _last_lots([tub.place_id for tub in tubs if tub.pk in readings and not tub.held])
    names = _names({row.by_id for row in readings.values() if row.by_id})
    places: dict[str, list[TubInRound]] = {}
    for tub in tubs:
        row = readings.get(tub.pk)
        places.setdefault(tub.stands_at, []).append(
            _in_round(
                tub,
                row,
                should.get(tub.pk, 0),
                names.get(row.by_id or 0, "") if row else "",
                last.get(tub.place_id),
            )
        )
    return RoundPage(
        round_id=found.pk if found else None,
        begun_at=found.begun_at if found else None,
        begun_by=found.begun_by.get_username() if found and found.begun_by else "",
        places=tuple((place or "no place noted", tuple(of_place)) for place, of_place in places.items()),
    )


def held_when_read(pairs: Iterable[tuple[Container, CountReading]]) -> dict[int, int]:
    """What each tub held when it was read (thousandths), by container id; tubs with their holdings.

    Reckoned back from what it holds now by what happened after the reading, whenever that was recorded: a
    draw whose tap arrived late but was made before the reading counts as before it. What was taken back
    counts as if it had never been, so an undo stands at the time of what it undoes. Two queries.
    """
    wanted = {tub.place_id: (tub, row) for tub, row in pairs}
    if not wanted:
        return {}
    earliest = min(row.read_at for _, row in wanted.values())
    held = {place_id: tub.held for place_id, (tub, _) in wanted.items()}
    entries = (
        Entry.objects.annotate(at=Coalesce("posting__reverses__happened_at", "posting__happened_at"))
        .filter(at__gt=earliest)
        .order_by()
    )
    for side, sign in (("destination_id", 1), ("source_id", -1)):
        rows = entries.filter(**{f"{side}__in": list(wanted)}).values_list(F(side), "at", "amount")
        for place_id, at, amount in rows:
            if at > wanted[place_id][1].read_at:
                held[place_id] -= sign * amount
    return {tub.pk: held[place_id] for place_id, (tub, _) in wanted.items()}


def worth_of(tub: Container, difference: int, last: Lot | None = None) -> int:
    """What a difference (thousandths) of a tub with its holdings cost, in minor units, half to even.

    Shared over the lots in it by what each holds, as it will be posted; for a tub that is empty now, at what
    the `last` lot in it cost.
    """
    rows = list(tub.place.holdings.all())
    if not difference or not (rows or last):
        return 0
    if not rows and last:
        return round(lot_cost(ReceivedLot(last.amount, last.price_minor), difference))
    cost = Fraction(0)
    for row, share in zip(rows, share_out(difference, [row.amount for row in rows]), strict=True):
        cost += lot_cost(ReceivedLot(row.lot.amount, row.lot.price_minor), share)
    return round(cost)


def _last_lots(place_ids: Sequence[int]) -> dict[int, Lot]:
    """The lot that came into each of these places last. One query, none for no places."""
    if not place_ids:
        return {}
    last = Entry.objects.filter(destination__in=place_ids).order_by().values("destination")
    newest = last.annotate(newest=Max("pk")).values("newest")
    return {
        entry.destination_id: entry.lot for entry in Entry.objects.filter(pk__in=newest).select_related("lot")
    }


def _in_round(tub: Container, row: CountReading | None, should: int, by: str, last: Lot | None) -> TubInRound:
    difference = row.counted - should if row else 0
    return TubInRound(
        container_id=tub.pk,
        code=tub.code,
        role_words=tub.role_words,
        material=tub.material.name,
        unit=tub.material.unit,
        tare_mg=tub.tare_mg,
        capacity=tub.capacity,
        stands_at=tub.stands_at,
        held=tub.held,
        reading_id=row.pk if row else None,
        counted=row.counted if row else 0,
        gross_mg=row.gross_mg if row else None,
        reason=row.reason if row else "",
        read_at=row.read_at if row else None,
        read_by=by,
        should=should,
        worth_minor=worth_of(tub, difference, last),
    )


def _names(user_ids: Iterable[int]) -> dict[int, str]:
    ids: Sequence[int] = list(user_ids)
    if not ids:
        return {}
    return {user.pk: user.get_username() for user in get_user_model().objects.filter(pk__in=ids)}
