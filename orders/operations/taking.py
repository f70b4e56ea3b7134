"""Taking an order or a market day that was typed by hand."""

from __future__ import annotations

from django.utils.timezone import localdate

from inventory.operations.acts import Done, Tap, act
from orders.errors import OrderRefused
from orders.operations.assigning import offer_pieces
from orders.operations.keeping import Lines, NewOrder, check_lines, keep_order
from orders.queries.range_names import range_names
from orders.queries.wording import counted, near_day


@act("orders.type_order")
def type_order(tap: Tap, *, order: NewOrder) -> Done:
    """Keep an order that was typed by hand, or a market day.

    Changes: orders_customer, orders_order, orders_orderline; pieces are kept for its lines.
    Again: the first answer; no order twice.
    Raises: OrderRefused with the field to mend: number taken, ship-by past, no lines, article not made in
    that colour.
    """
    today = localdate(tap.now)
    if order.ship_by < today:
        raise OrderRefused(
            f"{near_day(order.ship_by, today)} is past. Give a day from today on.",
            field="ship_by",
        )
    if order.ordered_on > today:
        raise OrderRefused(f"{near_day(order.ordered_on, today)} has not come yet.", field="ordered_on")
    check_lines(order.lines, range_names())
    kept = keep_order(order)
    offer_pieces(now=tap.now, sorts=[(article, colour) for article, colour, _ in order.lines])
    said = f"{kept.number} kept: {_pieces(order.lines)}, leaves {near_day(order.ship_by, today)}."
    return Done(said, {"order_id": kept.pk, "number": kept.number})


def _pieces(lines: Lines) -> str:
    return counted(sum(quantity for *_, quantity in lines), "piece")
