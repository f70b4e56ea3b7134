"""Taking an act of the orders back. What later acts stand on is refused."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.ledger import reverse
from inventory.ports import Offer
from orders.errors import HandedOver
from orders.models import (
    Assignment,
    Customer,
    Order,
    OrderBefore,
    OrderFile,
    OrderLine,
    Parcel,
    ParcelDraw,
    ParcelPackaging,
    ParcelPiece,
    Return,
)
from orders.operations.assigning import Sorts, let_go, lock_open_lines, offer_pieces, sorts_of
from orders.operations.changing import change_lines, lock_open_order
from orders.operations.wishes import keep_wish
from orders.queries.wording import clock, counted, listed
from production.errors import LaterActsDepend
from production.operations.leaving import give_back_pieces, unship_pieces


@act("orders.undo_type_order", undoes="act_id")
def undo_type_order(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a typed order or market day back: it is gone, its pieces are free.

    Raises: NothingToUndo; LaterActsDepend once a piece of it is in a box or has left.
    """
    answer = act_to_undo(act_id, "orders.type_order").answer
    _remove([answer["order_id"]], tap.now)
    return Done(f"{answer['number']} is taken back. Nothing of it is kept.")


@act("orders.undo_keep_file", undoes="act_id")
def undo_keep_file(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take an import back: its orders are gone. What columns and names mean stays remembered.

    Raises: NothingToUndo; LaterActsDepend once a piece of one of them is in a box or has left.
    """
    answer = act_to_undo(act_id, "orders.keep_file").answer
    _remove(answer["order_ids"], tap.now)
    if not Order.objects.filter(pk__in=answer["order_ids"]).exists():
        OrderFile.objects.filter(pk=answer["file_id"]).delete()
    return Done(f"{counted(len(answer['order_ids']), 'order')} taken back. Nothing of them is kept.")


@act("orders.undo_call_off", undoes="act_id")
def undo_call_off(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Open an order again that was called off; free pieces are kept for it."""
    answer = act_to_undo(act_id, "orders.call_off").answer
    Order.objects.filter(pk=answer["order_id"], called_off=True).update(closed_at=None, called_off=False)
    _offer(tap.now, sorts_of([answer["order_id"]]))
    return Done(f"{answer['number']} is open again.")


@act("orders.undo_change_order", undoes="act_id")
def undo_change_order(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Make an order what it was before a change.

    Raises: NothingToUndo; LaterActsDepend when it was changed again; OrderClosed; OrderRefused when more of a
    line has left than it had.
    """
    found = act_to_undo(act_id, "orders.change_order")
    lock_open_lines()
    before = OrderBefore.objects.filter(request_key=found.request_key).first()
    if before is None:
        raise LaterActsDepend("What it was before is not kept any more. Change it by hand.")
    if OrderBefore.objects.filter(order=before.order_id, pk__gt=before.pk).exists():
        raise LaterActsDepend("It was changed again since. Undo that first.")
    here = lock_open_order(before.order_id)
    wanted = {(article, colour): quantity for article, colour, quantity, _ in before.lines}
    change_lines(here, wanted, tuple((article, colour) for article, colour, _, do in before.lines if do))
    Order.objects.filter(pk=here.pk).update(**before.fields)
    before.delete()
    _offer(tap.now)
    return Done(f"{here.number} is as it was before.")


@act("orders.undo_assign_piece", undoes="act_id")
def undo_assign_piece(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Let a piece go that was chosen by hand; pieces are shared out as if nobody had chosen.

    Raises: NothingToUndo; LaterActsDepend once the piece is in a box or has left.
    """
    answer = act_to_undo(act_id, "orders.assign_piece").answer
    lock_open_lines()
    kept = Assignment.objects.filter(piece=answer["piece_id"], line=answer["line_id"]).first()
    if kept is None:
        raise LaterActsDepend("The piece was kept for somebody else since. Choose again by hand.")
    _refuse_boxed([answer["piece_id"]])
    line_before = OrderLine.objects.filter(
        pk=answer["line_before"] or 0, order__closed_at__isnull=True
    ).first()
    if answer["by_hand_before"] and line_before:
        kept.line = line_before
        kept.save(update_fields=["line"])
    else:
        kept.delete()
    _offer(tap.now)
    return Done(f"{answer['mark']} is shared out as before.")


@act("orders.undo_tick_piece", undoes="act_id")
def undo_tick_piece(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a piece out of the box again.

    Raises: NothingToUndo; LaterActsDepend once the box has left.
    """
    answer = act_to_undo(act_id, "orders.tick_piece").answer
    boxed = ParcelPiece.objects.filter(piece=answer["piece_id"], parcel__order=answer["order_id"])
    if boxed.filter(parcel__shipped_at__isnull=False).exists():
        raise LaterActsDepend(f"The box with {answer['mark']} was shipped. Undo that first.")
    boxed.delete()
    Parcel.objects.filter(order=answer["order_id"], shipped_at__isnull=True).update(packed_at=None)
    return Done(f"{answer['mark']} is out of the box.")


@act("orders.undo_ship_parcel", undoes="act_id")
def undo_ship_parcel(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a parcel back that was not collected: it stands packed, its packaging is back in the stores.

    Raises: NothingToUndo; HandedOver after it was collected; LaterActsDepend when a next box is being packed.
    """
    answer = act_to_undo(act_id, "orders.ship_parcel").answer
    number, until = answer["number"], datetime.fromisoformat(answer["until"])
    if tap.now > until:
        raise HandedOver(f"{number} was collected at {clock(until)}. Nothing was changed.", until=until)
    order = Order.objects.select_for_update(no_key=True).get(pk=answer["order_id"])
    next_box = Parcel.objects.filter(order=order, shipped_at__isnull=True).first()
    if next_box and next_box.pieces.exists():
        raise LaterActsDepend(f"The next box of {number} has a piece in it. Take it out first.")
    if next_box:
        next_box.delete()
    unship_pieces(answer["piece_ids"])
    for posting_id in answer["postings"]:
        reverse(tap, posting_id, reason=f"order {number} not shipped after all")
    Parcel.objects.filter(pk=answer["parcel_id"]).update(shipped_at=None)
    ParcelPackaging.objects.filter(parcel=answer["parcel_id"]).delete()
    ParcelDraw.objects.filter(parcel=answer["parcel_id"]).delete()
    Order.objects.filter(pk=order.pk).update(closed_at=None)
    return Done(f"{number} is not shipped. It stands packed, {counted(len(answer['piece_ids']), 'piece')}.")


@act("orders.undo_note_return", undoes="act_id")
def undo_note_return(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a return back: the pieces are with the customer as before.

    Raises: NothingToUndo; LaterActsDepend when a piece is kept for another or was replaced since.
    """
    answer = act_to_undo(act_id, "orders.note_return").answer
    lock_open_lines()
    rows = list(Return.objects.filter(pk__in=answer["returns"]).select_related("piece"))
    pieces = [row.piece_id for row in rows]
    if any(row.replaced_by_id for row in rows):
        raise LaterActsDepend("A replacement was made since. Take that back first.")
    if answer["was_free"]:
        _refuse_boxed(pieces)
        let_go(pieces)
        Assignment.objects.bulk_create(
            Assignment(piece_id=row.piece_id, line_id=row.line_id) for row in rows if row.line_id
        )
        ParcelPiece.objects.bulk_create(
            ParcelPiece(
                parcel_id=row.parcel_id,
                piece_id=row.piece_id,
                ticked_at=datetime.fromisoformat(answer["ticked"][str(row.piece_id)]),
            )
            for row in rows
        )
    give_back_pieces({int(key): before for key, before in answer["before"].items()})
    Return.objects.filter(pk__in=answer["returns"]).delete()
    _offer(tap.now)
    return Done(f"{listed([row.piece.mark for row in rows])} did not come back.")


@act("orders.undo_send_replacement", undoes="act_id")
def undo_send_replacement(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a replacement order back.

    Raises: NothingToUndo; LaterActsDepend once a piece of it is in a box or has left.
    """
    answer = act_to_undo(act_id, "orders.send_replacement").answer
    _remove([answer["order_id"]], tap.now)
    return Done(f"{answer['number']} is taken back. Nothing of it is kept.")


@act("orders.undo_set_wish", undoes="act_id")
def undo_set_wish(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put a shelf wish back to what it was."""
    answer = act_to_undo(act_id, "orders.set_wish").answer
    keep_wish(answer["article_id"], answer["colour_id"], answer["level_before"])
    return Done(f"The shelf wish is {answer['level_before']} again.")


def _remove(order_ids: Sequence[int], now: datetime) -> None:
    """Take orders away that nothing was done for yet."""
    sorts = sorts_of(order_ids)
    lock_open_lines(sorts)
    here = Order.objects.select_for_update(no_key=True).filter(pk__in=order_ids).order_by("pk")
    customer_of = dict(here.values_list("pk", "customer"))
    orders = list(customer_of)
    pieces = list(Assignment.objects.filter(line__order__in=orders).values_list("piece", flat=True))
    _refuse_boxed(pieces)
    let_go(pieces)
    Parcel.objects.filter(order__in=orders).delete()
    OrderLine.objects.filter(order__in=orders).delete()
    customers = [customer for customer in customer_of.values() if customer]
    Order.objects.filter(pk__in=orders).delete()
    Customer.objects.filter(pk__in=customers, orders__isnull=True).delete()
    _offer(now, sorts)


def _offer(now: datetime, sorts: Sorts | None = None) -> None:
    """Share free pieces out; the undoings' own parameter `offer_pieces` hides the function's name."""
    offer_pieces(now=now, sorts=sorts)


def _refuse_boxed(piece_ids: Sequence[int]) -> None:
    boxed = ParcelPiece.objects.filter(piece__in=piece_ids).values_list(
        "piece__mark", "parcel__order__number", "parcel__shipped_at"
    )
    found = list(boxed[:3])
    if found:
        marks, number = listed([mark for mark, *_ in found]), found[0][1]
        how = "has left with" if found[0][2] else "is in the box of"
        raise LaterActsDepend(f"{marks} {how} {number}. Undo that first.")


UNDO: dict[str, Callable[..., Done]] = {
    "orders.type_order": undo_type_order,
    "orders.keep_file": undo_keep_file,
    "orders.change_order": undo_change_order,
    "orders.call_off": undo_call_off,
    "orders.assign_piece": undo_assign_piece,
    "orders.tick_piece": undo_tick_piece,
    "orders.ship_parcel": undo_ship_parcel,
    "orders.note_return": undo_note_return,
    "orders.send_replacement": undo_send_replacement,
    "orders.set_wish": undo_set_wish,
}
