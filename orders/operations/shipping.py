"""Parcels leave: in full, or in part with the rest to follow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import draw_material
from inventory.ports import StudioHours
from inventory.queries.wording import in_words
from orders.arithmetic.parcel_weight import judge_weight, usual_box_mg
from orders.errors import NoSuchOrder, NothingInTheBox, OrderRefused, ScaleDisagrees, StalePreview
from orders.models import Order, Parcel, ParcelDraw, ParcelPackaging, ParcelPiece
from orders.operations.changing import lock_open_order
from orders.operations.packing import left_to_box
from orders.queries.weighed import weighed_alike
from orders.queries.wording import clock, counted
from production.operations.leaving import ship_pieces
from production.queries.weights import piece_weights

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
    packaging: Mapping[str, int] | None = None,
    weight_mg: int | None = None,
    as_weighed: bool = False,
    carrier: str = "",
    tracking: str = "",
) -> Done:
    """Mark the open box of an order shipped; `marks` are those the page showed in it.

    What the articles are packed in is drawn from the stores, or the `packaging` given (thousandths by
    material id), unless `take_packaging` is false. A `weight_mg` that the pieces cannot have is refused
    unless `as_weighed`. With every piece gone the order is closed. It can be undone until the parcel is
    collected: when the studio closes that day, or an hour after shipping where it has closed already.

    Changes: orders_parcel, orders_parcelpackaging, orders_parceldraw, orders_order, production_piece, the
    stores' ledger.
    Again: the first answer; nothing is shipped or drawn twice.
    Raises: NoSuchOrder; OrderClosed; NothingInTheBox; StalePreview when the box is not as shown; OrderRefused
    when pieces are missing and `in_part` is false; ScaleDisagrees; NotEnoughInContainer;
    what `ship_pieces` raises.
    """
    order = lock_open_order(order_id)
    parcel, boxed = _box_as_shown(order, marks)
    left = left_to_box(order)
    if left and not in_part:
        raise OrderRefused(
            f"{counted(left, 'piece')} of {order.number} not in the box. Tick it, or ship in part.",
            left=left,
        )
    weights = piece_weights(one.piece_id for one in boxed)
    taken = _packaging_taken(boxed, packaging) if take_packaging else {}
    if weight_mg is not None and not as_weighed:
        check_scale(weight_mg, weights, taken)
    ship_pieces([one.piece_id for one in boxed], happened_at=tap.happened_at)
    postings = _draw_packaging(tap, parcel, taken)
    known = [mass for mass in weights.values() if mass is not None]
    parcel.weight_mg = weight_mg
    parcel.pieces_mg = sum(known) if len(known) == len(boxed) else None
    parcel.carrier, parcel.tracking = carrier.strip(), tracking.strip()
    parcel.shipped_at = tap.happened_at
    parcel.packed_at = parcel.packed_at or tap.happened_at
    parcel.save()
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


def check_scale(weight_mg: int, weights: Mapping[int, int | None], packaging: Mapping[int, int]) -> None:
    """Refuse a reading that these pieces so packed cannot have; without known weights nothing is said.

    Raises: ScaleDisagrees.
    """
    known = [mass for mass in weights.values() if mass is not None]
    if not known or len(known) < len(weights):
        return
    box = usual_box_mg(weighed_alike(packaging))
    judged = judge_weight(weight_mg, known, box)
    if judged.verdict == "fine":
        return
    of_box = " and the box" if box is not None else ""
    what, do = {
        "light": ("less than", "Is a piece missing?"),
        "heavy": ("more than", "Is a piece too many in it?"),
    }[judged.verdict]
    # Summed weights end in milligrams that no scale shows.
    by, expected = (in_words(round(mass, -3), "g") for mass in (judged.by_mg, judged.expected_mg))
    raise ScaleDisagrees(
        f"The scale says {in_words(weight_mg, 'g')}, {by} {what} the pieces{of_box}"
        f" come to ({expected}). {do} Look, weigh again, or ship it as weighed.",
        field="weight",
        verdict=judged.verdict,
    )


def _packaging_taken(boxed: Sequence[ParcelPiece], given: Mapping[str, int] | None) -> dict[int, int]:
    """What is taken, by material id, nothing of amount zero: as given, else as the articles say."""
    wanted = packaging_of(boxed) if given is None else {int(key): amount for key, amount in given.items()}
    return {material_id: amount for material_id, amount in sorted(wanted.items()) if amount > 0}


def _draw_packaging(tap: Tap, parcel: Parcel, taken: Mapping[int, int]) -> set[int]:
    """Draw what the parcel is packed in and note it; answers the postings."""
    postings: set[int] = set()
    for material_id, amount in taken.items():
        drawn = draw_material(tap, material_id, amount, "parcel", reason=f"order {parcel.order.number}")
        postings |= {one.posting_id for one in drawn}
        ParcelDraw.objects.bulk_create(
            ParcelDraw(
                parcel=parcel,
                container_id=one.container_id,
                lot_id=one.lot_id,
                material_id=one.material_id,
                amount=one.amount,
            )
            for one in drawn
        )
    ParcelPackaging.objects.bulk_create(
        ParcelPackaging(parcel=parcel, material_id=material_id, amount=amount)
        for material_id, amount in taken.items()
    )
    return postings


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


@act("orders.note_carrier")
def note_carrier(tap: Tap, *, parcel_id: int, carrier: str, tracking: str) -> Done:
    """Note who carries a parcel and its tracking, in plain words; also after it has left.

    Changes: orders_parcel. Again: the first answer.
    Raises: NoSuchOrder.
    """
    parcel = (
        Parcel.objects.select_for_update(of=("self",)).select_related("order").filter(pk=parcel_id).first()
    )
    if parcel is None:
        raise NoSuchOrder("There is no such parcel. Open the order again.", number="")
    parcel.carrier, parcel.tracking = carrier.strip(), tracking.strip()
    parcel.save(update_fields=["carrier", "tracking"])
    told = ", ".join(word for word in (parcel.carrier, parcel.tracking) if word) or "nothing"
    return Done(f"Parcel {parcel.number} of {parcel.order.number}: {told}.", {"parcel_id": parcel.pk})
