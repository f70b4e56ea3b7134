"""Parcels leave: in full, or in part with the rest to follow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta

from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import draw_material
from inventory.ports import StudioHours
from orders.errors import NothingInTheBox, OrderRefused, StalePreview
from orders.models import Order, Parcel, ParcelPiece
from orders.operations.packing import left_to_box
from orders.operations.taking import lock_open_order
from orders.queries.wording import clock, counted
from production.operations.leaving import ship_pieces

AFTER_HOURS = timedelta(hours=1)


@act("orders.ship_parcel")
def ship_parcel(
    tap: Tap,
    *,
    order_id: int,
    marks: Sequence[str],
    hours: StudioHours,
    in_part: bool = False,
    take_packaging: bool = True,
) -> Done:
    """Mark the open box of an order shipped; `marks` are those the page showed in it.

    What the articles are packed in is drawn from the stores, unless `take_packaging` is false. With every
    piece gone the order is closed. It can be undone until the parcel is collected: when the studio closes
    that day, or an hour after shipping where it has closed already.

    Changes: orders_parcel, orders_order, production_piece, and the ledger of the stores.
    Again: the first answer; nothing is shipped or drawn twice.
    Raises: NoSuchOrder; OrderClosed; NothingInTheBox; StalePreview when the box is not as shown; OrderRefused
    when pieces are missing and `in_part` is false; NotEnoughInContainer; what `ship_pieces` raises.
    """
    order = lock_open_order(order_id)
    parcel, boxed = _box_as_shown(order, marks)
    left = left_to_box(order)
    if left and not in_part:
        raise OrderRefused(
            f"{counted(left, 'piece')} of {order.number} not in the box. Tick it, or ship in part.",
            left=left,
        )
    ship_pieces([one.piece_id for one in boxed], happened_at=tap.happened_at)
    postings: set[int] = set()
    for material_id, amount in sorted(packaging_of(boxed).items()) if take_packaging else ():
        drawn = draw_material(tap, material_id, amount, "parcel", reason=f"order {order.number}")
        postings |= {one.posting_id for one in drawn}
    parcel.shipped_at = tap.happened_at
    parcel.packed_at = parcel.packed_at or tap.happened_at
    parcel.save(update_fields=["shipped_at", "packed_at"])
    if not left:
        Order.objects.filter(pk=order.pk).update(closed_at=tap.happened_at)
    until = collected_at(hours, tap.happened_at)
    facts = {
        "order_id": order.pk,
        "number": order.number,
        "parcel_id": parcel.pk,
        "piece_ids": [one.piece_id for one in boxed],
        "postings": sorted(postings),
        "until": until.isoformat(),
        "left": left,
    }
    return Done(_said(order, len(boxed), left, tap.happened_at, until), facts)


def _box_as_shown(order: Order, marks: Sequence[str]) -> tuple[Parcel, list[ParcelPiece]]:
    """The open box of a locked order with its pieces, if it is what the page showed.

    Raises: NothingInTheBox; StalePreview.
    """
    parcel = Parcel.objects.filter(order=order, shipped_at__isnull=True).first()
    boxed = list(
        ParcelPiece.objects.filter(parcel__order=order, parcel__shipped_at__isnull=True)
        .select_related("piece__article")
        .order_by("id")
    )
    if parcel is None or not boxed:
        raise NothingInTheBox(f"Nothing is in the box of {order.number}. Tick a piece.", number=order.number)
    if sorted(one.piece.mark for one in boxed) != sorted(marks):
        raise StalePreview("The box changed on another screen. Look again, then mark it shipped.")
    return parcel, boxed


def collected_at(hours: StudioHours, at: datetime) -> datetime:
    """When a parcel shipped at `at` is out of the studio's hands: at closing, or an hour later after it."""
    local = at.astimezone(hours.zone)
    closing = [
        local.replace(hour=one.closes.hour, minute=one.closes.minute, second=0, microsecond=0)
        for one in hours.weekly
        if one.weekday == local.weekday() and local.date() not in hours.closed_days
    ]
    last = max(closing, default=local)
    return last if last > local else at + AFTER_HOURS


def packaging_of(boxed: Sequence[ParcelPiece]) -> Counter[int]:
    """What packs the pieces, by material (thousandths)."""
    found: Counter[int] = Counter()
    for one in boxed:
        article = one.piece.article
        if article.packaging_id and article.packaging_each:
            found[article.packaging_id] += article.packaging_each
    return found


def _said(order: Order, shipped: int, left: int, at: datetime, until: datetime) -> str:
    of = f"{shipped} of {shipped + left} pieces" if left else counted(shipped, "piece")
    return f"{order.number} shipped {clock(at)}. {of}. Undo until {clock(until)}."
