"""Packing one order: pieces go into its box, one tick or scan each."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Exists, Max, OuterRef

from inventory.arithmetic.codes import tidy_mark
from inventory.operations.acts import Done, Tap, act
from orders.errors import NotForThisBox
from orders.models import Assignment, Order, Parcel, ParcelPiece
from orders.operations.changing import lock_open_order
from orders.queries.wording import day_clock
from production.queries.good_pieces import GoodPiece, good_pieces_here
from production.queries.piece_facts import PieceFacts, piece_facts


@act("orders.tick_piece")
def tick_piece(tap: Tap, *, order_id: int, mark: str) -> Done:
    """Put a piece that is kept for an order into its box.

    Changes: orders_parcel, orders_parcelpiece.
    Raises: NoSuchOrder; OrderClosed; NotForThisBox when the piece is unknown, kept for another order or for
    nobody, not ready, or in the box already: with what to do instead.
    """
    order = lock_open_order(order_id)
    piece = _piece_for(order, tidy_mark(mark), tap.happened_at)
    parcel = open_parcel(order)
    boxed, is_new = ParcelPiece.objects.get_or_create(
        piece_id=piece.id, defaults={"parcel": parcel, "ticked_at": tap.happened_at}
    )
    if not is_new:
        raise NotForThisBox(
            f"{piece.mark} is in the box already. Go on with the next piece.", mark=piece.mark, field="mark"
        )
    to_go = _note_packed(order, parcel, tap.happened_at)
    said = f"{piece.mark} is in the box of {order.number}." + (f" {to_go} to go." if to_go else " All in.")
    return Done(said, {"order_id": order.pk, "piece_id": piece.id, "mark": piece.mark, "to_go": to_go})


@act("orders.untick_piece")
def untick_piece(tap: Tap, *, order_id: int, mark: str) -> Done:
    """Take a piece out of the box again; it stays kept for the order.

    Changes: orders_parcelpiece, orders_parcel.
    Raises: NoSuchOrder; OrderClosed; NotForThisBox when it is not in the box.
    """
    order = lock_open_order(order_id)
    bare = tidy_mark(mark)
    boxed = ParcelPiece.objects.filter(
        parcel__order=order, parcel__shipped_at__isnull=True, piece__mark=bare
    ).first()
    if boxed is None:
        raise NotForThisBox(f"{bare} is not in the box of {order.number}.", mark=bare, field="mark")
    piece_id = boxed.piece_id
    boxed.delete()
    Parcel.objects.filter(order=order, shipped_at__isnull=True).update(packed_at=None)
    return Done(f"{bare} is out of the box.", {"order_id": order.pk, "piece_id": piece_id, "mark": bare})


def open_parcel(order: Order) -> Parcel:
    """The open box of a locked order, a new one if there is none."""
    found = Parcel.objects.filter(order=order, shipped_at__isnull=True).first()
    if found is not None:
        return found
    last = Parcel.objects.filter(order=order).aggregate(last=Max("number"))["last"] or 0
    return Parcel.objects.create(order=order, number=last + 1)


def left_to_box(order: Order) -> int:
    """Pieces of an order that have not left and are in no box. Two queries."""
    wanted = sum(order.lines.values_list("quantity", flat=True))
    return wanted - ParcelPiece.objects.filter(parcel__order=order).count()


def _piece_for(order: Order, mark: str, at: datetime) -> GoodPiece:
    """The piece with this mark, if it may go into the box of the order.

    Raises: NotForThisBox, with what to do instead.
    """
    kept = (
        Assignment.objects.filter(piece__mark=mark)
        .values_list("line__order", "line__order__number", "piece")
        .first()
    )
    if kept is None or kept[0] != order.pk:
        raise NotForThisBox(
            _whose(order, mark, kept[1] if kept else "", at),
            mark=mark,
            kept_for=kept[1] if kept else "",
            field="mark",
        )
    piece = next(iter(good_pieces_here([kept[2]], with_seconds=True)), None)
    if piece is None:
        raise NotForThisBox(f"{mark} has left, or is no longer good.", mark=mark, field="mark")
    if piece.ready_at is None:
        raise NotForThisBox(f"{mark} still wants hands. See the Shelf.", mark=mark, field="mark")
    if piece.ready_at > at:
        when = day_clock(piece.ready_at, at)
        raise NotForThisBox(f"{mark} is ready {when}. Pack it then.", mark=mark, field="mark")
    return piece


def _whose(order: Order, mark: str, kept_for: str, at: datetime) -> str:
    """What a piece is that is not kept for the order, whose it is, and what to do with it."""
    facts = piece_facts(mark)
    if facts is None:
        return f"No piece has the mark {mark[:12]}. Type it again."
    boxed = (
        ParcelPiece.objects.filter(piece=facts.id)
        .values_list("parcel__order__number", "parcel__shipped_at")
        .first()
    )
    if facts.shipped_at or (boxed and boxed[1]):
        left = f" with {boxed[0]}" if boxed else ""
        when = f" {day_clock(facts.shipped_at, at)}" if facts.shipped_at else ""
        return f"{mark} left{left}{when}. Has it come back? Note that on that order first."
    if boxed:
        return f"{mark} is in the box of {boxed[0]}. Put it back there, or take it out there first."
    if facts.outcome != "good":
        return f"{mark} is a {facts.outcome}, {facts.words}. Put it back on the shelf."
    whom = f"kept for {kept_for}" if kept_for else "kept for nobody"
    return f"{mark} is {facts.words}, {whom}. Not for this box. {_instead(order, facts, kept_for)}"


def _instead(order: Order, facts: PieceFacts, kept_for: str) -> str:
    """What to scan in place of a piece that is kept for another, or for nobody."""
    wanted = Assignment.objects.filter(line__order=order, line__article=facts.article_id).exclude(
        Exists(ParcelPiece.objects.filter(piece=OuterRef("piece")))
    )
    own = wanted.filter(line__colour=facts.colour_id).values_list("piece__mark", flat=True).first()
    if own:
        return f"Put it back and take {own}, or choose it by hand on the page of {order.number}."
    other = wanted.values_list("piece__mark", "line__colour__name").first()
    if other:
        return f"{order.number} wants it in {other[1]}: take {other[0]}."
    return f"Put it back for {kept_for}." if kept_for else "Put it back on the shelf."


def _note_packed(order: Order, parcel: Parcel, at: datetime) -> int:
    """Note when the box has all that is to leave; answers how many pieces are to go."""
    to_go = left_to_box(order)
    if to_go == 0:
        parcel.packed_at = at
        parcel.save(update_fields=["packed_at"])
    return to_go
