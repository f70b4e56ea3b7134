"""The ledger: the only place where amounts change.

These functions are parts of acts, not acts themselves: every one of them runs inside the transaction of the
act that calls it, so that the entries, the holdings and whatever else the act changes stand or fall together.

Holdings are changed by guarded F() updates under locks on their tubs, taken in one order, because a value
read before the lock may be old by the time it is written (measured on PostgreSQL: 689 of 800 updates lost).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.db import transaction
from django.db.models import F

from inventory.arithmetic.drawing import draw_in_proportion
from inventory.arithmetic.which_first import take_in_order
from inventory.errors import (
    ContainerRetired,
    NotEnoughInContainer,
    NothingToUndo,
    StudioError,
    WrongMaterial,
)
from inventory.models import Container, Entry, Holding, Lot, Material, Place, Posting
from inventory.operations.acts import Tap
from inventory.operations.tubs import (
    count_opening,
    lock_holdings,
    lock_tubs,
    lock_tubs_at,
    take_tub,
    uncount_opening,
)
from inventory.queries.choosing import not_enough, tubs_in_use_order
from inventory.queries.wording import in_words


@dataclass(frozen=True)
class Move:
    """A positive amount (thousandths) of one lot from one place to another."""

    lot_id: int
    source_id: int
    destination_id: int
    amount: int


@dataclass(frozen=True)
class Drawn:
    """What came out of one container of one lot (thousandths); draws of one call share one posting.

    `instead_of` the tub whose turn it was, where another was named; else "".
    """

    posting_id: int
    container_id: int
    lot_id: int
    material_id: int
    amount: int
    instead_of: str = ""


def outside(kind: str) -> Place:
    """The one outside place of this kind: supplier, mix, piece, parcel, waste, spill or difference."""
    if kind == Place.Kind.CONTAINER:
        raise ValueError("a container is no outside place")
    return Place.objects.get_or_create(kind=Place.Kind(kind))[0]


def post(
    tap: Tap, kind: str, moves: Sequence[Move], *, reason: str = "", reverses: Posting | None = None
) -> Posting:
    """Write one posting with its entries, and change the holdings of the containers it touches.

    Changes: inventory_posting, inventory_entry, inventory_holding.
    Raises: NotEnoughInContainer when a container would fall below zero of a lot; WrongMaterial when a lot
    would get into a container of another material; ContainerRetired when it would get into a retired one.
    """
    _in_an_act()
    if not moves or any(move.amount <= 0 for move in moves):
        raise ValueError("a posting moves amounts above zero")
    # Locked before the posting gets its number: postings of one tub then bear numbers in the order in which
    # they changed it, and reckoned again in that order no holding was ever below zero.
    tubs = lock_tubs_at({move.source_id for move in moves} | {move.destination_id for move in moves})
    _check_destinations(moves, tubs)
    _change_holdings(moves, tubs)
    posting = Posting.objects.create(
        kind=Posting.Kind(kind),
        happened_at=tap.happened_at,
        recorded_at=tap.now,
        by_id=tap.by,
        reason=reason,
        request_key=tap.request_key,
        reverses=reverses,
    )
    Entry.objects.bulk_create(
        Entry(
            posting=posting,
            lot_id=move.lot_id,
            source_id=move.source_id,
            destination_id=move.destination_id,
            amount=move.amount,
        )
        for move in moves
    )
    return posting


def draw_from(
    tap: Tap, container_id: int, amount: int, to_kind: str, *, reason: str = ""
) -> tuple[Drawn, ...]:
    """Take `amount` (thousandths) out of one container for the outside place `to_kind`.

    Each lot gives in proportion to what the tub holds of it (a stirred tub); nothing is posted for zero.

    Changes: as `post`; a bulk tub counts one opening, and a tub that was shut begins its opened life.
    Raises: NotEnoughInContainer with what is there and where more is; ContainerRetired.
    """
    _in_an_act()
    tub = take_tub(container_id)
    held = lock_holdings([tub.place_id])
    there = sum(row.amount for row in held)
    if amount > there:
        raise not_enough(tub, there, amount)
    return _draw(tap, [(tub, amount)], held, to_kind, reason)


def draw_material(
    tap: Tap, material_id: int, amount: int, to_kind: str, *, reason: str = "", from_tub: str = ""
) -> tuple[Drawn, ...]:
    """Take `amount` (thousandths) of a material, whichever tub comes first, going on in the next if needed.

    `from_tub` is the code of the tub in hand; out of its turn it is recorded with the reason.

    Changes: as `draw_from`.
    Raises: NotEnoughInContainer with what all tubs together hold; StudioError when `from_tub` holds none.
    """
    _in_an_act()
    tubs = tubs_in_use_order(material_id)
    lock_tubs(tub.pk for tub in tubs)
    held = lock_holdings(tub.place_id for tub in tubs)
    in_tub: Counter[int] = Counter()
    for row in held:
        in_tub[row.place_id] += row.amount
    if amount > in_tub.total():
        material = Material.objects.get(pk=material_id)
        raise NotEnoughInContainer(
            f"All tubs together hold {in_words(in_tub.total(), material.unit)} of {material.name}, and"
            f" {in_words(amount, material.unit)} is needed. Take in a delivery or count the tubs first.",
            material=material.name,
            held=in_tub.total(),
            amount=amount,
        )
    instead_of = ""
    if from_tub:
        tubs, instead_of = _begin_with(from_tub, [tub for tub in tubs if in_tub[tub.place_id]])
        reason += f", instead of {instead_of}" if instead_of else ""
    parts = take_in_order([(tub, in_tub[tub.place_id]) for tub in tubs], amount)
    drawn = _draw(tap, parts, held, to_kind, reason)
    return tuple(replace(one, instead_of=instead_of) for one in drawn)


def reverse(tap: Tap, posting_id: int, *, reason: str) -> Posting:
    """Take a posting back by a posting of the opposite entries. Nothing disappears.

    A draw taken back no longer counts as an opening of its tub.

    Raises: NothingToUndo when it is unknown, reversed before, or itself a reversal; NotEnoughInContainer when
    part of what would go back was used since.
    """
    _in_an_act()
    # The lock makes the second of two reversals wait and then see the first.
    posting = Posting.objects.select_for_update().filter(pk=posting_id).first()
    if posting is None or posting.reverses_id is not None:
        raise NothingToUndo("There is nothing to undo here.", posting_id=posting_id)
    if Posting.objects.filter(reverses=posting).exists():
        raise NothingToUndo("This was undone before. Nothing was changed.", posting_id=posting_id)
    back = [
        Move(entry.lot_id, entry.destination_id, entry.source_id, entry.amount)
        for entry in posting.entries.order_by("id")
    ]
    reversing = post(tap, Posting.Kind.CORRECTION, back, reason=reason, reverses=posting)
    if posting.kind == Posting.Kind.DRAW:
        tubs = lock_tubs_at({move.destination_id for move in back}).values()
        uncount_opening([tub.pk for tub in tubs], posting.happened_at)
    return reversing


def _begin_with(code: str, filled: list[Container]) -> tuple[list[Container], str]:
    """The tubs with the one in hand first, and the one whose turn it was, "" when it was its own."""
    first = next((tub for tub in filled if tub.code == code), None)
    if first is None:
        named = ", ".join(tub.code for tub in filled)
        raise StudioError(f"{code[:8]} holds none of it now. Take it from {named}.", container=code)
    instead_of = "" if first is filled[0] else filled[0].code
    return [first, *(tub for tub in filled if tub is not first)], instead_of


def _in_an_act() -> None:
    if not transaction.get_connection().in_atomic_block:
        raise AssertionError("the ledger changes only inside the transaction of an act")


def _check_destinations(moves: Sequence[Move], tubs: Mapping[int, Container]) -> None:
    into_tubs = [move for move in moves if move.destination_id in tubs]
    if not into_tubs:
        return
    materials = dict(
        Lot.objects.filter(pk__in={move.lot_id for move in into_tubs}).values_list("pk", "material__name")
    )
    for move in into_tubs:
        tub = tubs[move.destination_id]
        if tub.retired_on:
            raise ContainerRetired(
                f"{tub.code} is retired. Nothing can go into it.", container=tub.code, field="container"
            )
        if materials[move.lot_id] != tub.material.name:
            raise WrongMaterial(
                f"{tub.code} is for {tub.material.name}, and this is {materials[move.lot_id]}."
                " Choose a tub of the same material.",
                container=tub.code,
                material=tub.material.name,
                other=materials[move.lot_id],
            )


def _change_holdings(moves: Sequence[Move], tubs: Mapping[int, Container]) -> None:
    """Add and take by lot and container, all or nothing."""
    change: Counter[tuple[int, int]] = Counter()
    for move in moves:
        if move.source_id in tubs:
            change[move.lot_id, move.source_id] -= move.amount
        if move.destination_id in tubs:
            change[move.lot_id, move.destination_id] += move.amount
    keys = sorted(change)
    came_in = [Holding(lot_id=lot, place_id=place) for lot, place in keys if change[lot, place] > 0]
    if came_in:
        Holding.objects.bulk_create(came_in, ignore_conflicts=True)
    for lot, place in keys:
        # The tubs are locked, so nobody else is at these rows; the guard holds whoever else might be.
        changed = Holding.objects.filter(lot=lot, place=place, amount__gte=-change[lot, place]).update(
            amount=F("amount") + change[lot, place]
        )
        if not changed:
            raise _would_fall_below_zero(tubs[place], lot, -change[lot, place])


def _would_fall_below_zero(tub: Container, lot_id: int, amount: int) -> NotEnoughInContainer:
    unit = tub.material.unit
    lot = Lot.objects.get(pk=lot_id)
    held = Holding.objects.filter(lot=lot_id, place=tub.place_id).values_list("amount", flat=True).first()
    there = held or 0
    return NotEnoughInContainer(
        f"{tub.code} holds {in_words(there, unit)} of lot {lot.code} now, and {in_words(amount, unit)} would"
        " have to come out. Part of it was used since: count the tub instead.",
        container=tub.code,
        lot=lot.code,
        held=there,
        amount=amount,
    )


def _draw(
    tap: Tap, parts: Sequence[tuple[Container, int]], held: Sequence[Holding], to_kind: str, reason: str
) -> tuple[Drawn, ...]:
    """Draw from each tub in proportion to its lots, all in one posting."""
    shares = [
        (tub, lot_id, share)
        for tub, amount in parts
        for lot_id, share in draw_in_proportion(
            [(row.lot_id, row.amount) for row in held if row.place_id == tub.place_id], amount
        )
    ]
    if not shares:
        return ()
    destination = outside(to_kind)
    posting = post(
        tap,
        Posting.Kind.DRAW,
        [Move(lot_id, tub.place_id, destination.pk, share) for tub, lot_id, share in shares],
        reason=reason,
    )
    count_opening([tub.pk for tub, _ in parts], tap.happened_at)
    return tuple(Drawn(posting.pk, tub.pk, lot_id, tub.material_id, share) for tub, lot_id, share in shares)
