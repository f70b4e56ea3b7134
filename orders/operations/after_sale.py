"""After a parcel has left: what comes back or arrives broken, and what is sent in its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from django.utils.timezone import localdate

from inventory.operations.acts import Done, Tap, act
from orders.errors import NoSuchOrder, NotFromHere, OrderRefused
from orders.models import Assignment, Order, ParcelPiece, Return
from orders.operations.assigning import lock_open_lines, offer_pieces
from orders.operations.keeping import NewOrder, keep_order
from orders.queries.wording import counted, listed, near_day
from production.operations.leaving import take_back_pieces

GOOD, SCRAP = "good", "scrap"


@act("orders.note_return")
def note_return(tap: Tap, *, order_id: int, marks: Sequence[str], why: str, outcome: str) -> Done:
    """Note that pieces of an order came back, or arrived broken, and as what they count from now on.

    Good ones and seconds stand on the shelf again, free for others; scrap stays with the order it left with.
    Of an order that is still open the pieces are wanted again.

    Changes: orders_return, orders_assignment, orders_parcelpiece, production_piece; what
    `offer_pieces` changes.
    Raises: NoSuchOrder; NotFromHere for a mark that did not leave with the order; OrderRefused for broken in
    post and yet good.
    """
    lock_open_lines()
    order = _locked(order_id)
    boxed = _left_with(order, marks)
    if why == Return.Why.BROKEN and outcome == GOOD:
        raise OrderRefused("What broke in post is not good. Say second or scrap.", field="outcome")
    frees = outcome != SCRAP or order.closed_at is None
    pieces = [one.piece_id for one in boxed]
    lines = dict(Assignment.objects.filter(piece__in=pieces).values_list("piece", "line"))
    before = take_back_pieces(pieces, outcome=outcome, is_here=outcome != SCRAP, happened_at=tap.happened_at)
    kept = Return.objects.bulk_create(
        Return(
            parcel_id=one.parcel_id,
            line_id=lines.get(one.piece_id),
            piece_id=one.piece_id,
            why=why,
            outcome=before[one.piece_id].outcome_now,
            is_free=frees,
            noted_at=tap.happened_at,
        )
        for one in boxed
    )
    if frees:
        Assignment.objects.filter(piece__in=pieces).delete()
        ParcelPiece.objects.filter(piece__in=pieces).delete()
        offer_pieces(now=tap.now)
    named = listed([one.piece.mark for one in boxed])
    where = {GOOD: "good, back on the shelf", SCRAP: "scrap"}.get(outcome, f"{outcome}, back on the shelf")
    facts = {
        "order_id": order.pk,
        "number": order.number,
        "returns": [one.pk for one in kept],
        "was_free": frees,
        "before": {str(key): found.as_facts() for key, found in before.items()},
        "ticked": {str(one.piece_id): one.ticked_at.isoformat() for one in boxed},
    }
    return Done(f"{named} of {order.number}: {Return.Why(why).label}, {where}.", facts)


@act("orders.send_replacement")
def send_replacement(tap: Tap, *, order_id: int, ship_by: date) -> Done:
    """Make an order in place of what came back or broke and was not replaced yet; it keeps the link.

    Changes: orders_order, orders_orderline, orders_return; pieces are kept for its lines.
    Raises: NoSuchOrder; OrderRefused when nothing wants replacing, the name was erased, or the day is past.
    """
    order = _locked(order_id)
    today = localdate(tap.now)
    if ship_by < today:
        raise OrderRefused(f"{near_day(ship_by, today)} is past. Give a day from today on.", field="ship_by")
    if order.customer is None or order.customer.erased_at is not None:
        raise OrderRefused(f"{order.number} has no address to send to. Type a new order.", field="ship_by")
    waiting = list(
        Return.objects.filter(parcel__order=order, replaced_by__isnull=True)
        .exclude(why=Return.Why.MIND)
        .select_related("piece")
    )
    if order.closed_at is None or not waiting:
        why = "is still open, and its pieces go with the rest" if order.closed_at is None else "lacks nothing"
        raise OrderRefused(f"{order.number} {why}. Nothing was changed.", field="ship_by")
    wanted = Counter((one.piece.article_id, one.piece.colour_id) for one in waiting)
    made = keep_order(
        NewOrder(
            number=_number_after(order.number),
            ordered_on=today,
            ship_by=ship_by,
            lines=tuple((article, colour, count) for (article, colour), count in wanted.items()),
            customer=order.customer.name,
            address=order.customer.address,
            came_from="replacement",
        )
    )
    Order.objects.filter(pk=made.pk).update(replaces=order)
    Return.objects.filter(pk__in=[one.pk for one in waiting]).update(replaced_by=made)
    offer_pieces(now=tap.now, sorts=list(wanted))
    said = f"{made.number} replaces {counted(len(waiting), 'piece')} of {order.number}."
    facts = {"order_id": made.pk, "number": made.number, "replaces": order.pk}
    return Done(f"{said} Leaves {near_day(ship_by, today)}.", facts)


def _locked(order_id: int) -> Order:
    order = (
        Order.objects.select_for_update(no_key=True, of=("self",))
        .select_related("customer")
        .filter(pk=order_id)
        .first()
    )
    if order is None:
        raise NoSuchOrder("There is no such order. Open the list again.", number="")
    return order


def _left_with(order: Order, marks: Sequence[str]) -> list[ParcelPiece]:
    """The places in boxes of pieces that left with an order and have not come back.

    Raises: NotFromHere.
    """
    if not marks:
        raise NotFromHere("Tick which piece it is.", field="marks")
    returned = Return.objects.filter(parcel__order=order).values("piece")
    found = list(
        ParcelPiece.objects.filter(
            parcel__order=order, parcel__shipped_at__isnull=False, piece__mark__in=marks
        )
        .exclude(piece__in=returned)
        .select_related("piece")
        .order_by("id")
    )
    missing = sorted(set(marks) - {one.piece.mark for one in found})
    if missing:
        raise NotFromHere(
            f"{listed(missing)} did not leave with {order.number}, or is noted as back already.",
            field="marks",
        )
    return found


def _number_after(number: str) -> str:
    """The number of a replacement: the order's with R, R2, R3 and so on."""
    base = f"{number[:34]}-R"
    taken = set(Order.objects.filter(number__startswith=base).values_list("number", flat=True))
    return next(
        name
        for name in (base, *(f"{base}{count}" for count in range(2, len(taken) + 3)))
        if name not in taken
    )
