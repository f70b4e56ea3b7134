"""Writing new orders: their rows, their customers, and what is refused. Part of the acts that call it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db import IntegrityError, transaction

from orders.arithmetic.reading.cells import QUANTITY_MOST
from orders.arithmetic.reading.file_orders import with_origin
from orders.arithmetic.reading.names import RangeNames
from orders.errors import OrderRefused
from orders.models import Customer, Order, OrderLine

AT_ONCE = 5_000
"""Rows written or asked for in one question to the database."""
Lines = tuple[tuple[int, int, int], ...]
"""(article id, colour id, pieces) each."""
Seconds = tuple[tuple[int, int], ...]
"""(article id, colour id) of the lines that take seconds too."""


@dataclass(frozen=True)
class NewOrder:
    """An order to keep. A market day has no customer. A late piece of it counts `weight` times (1 to 9)."""

    number: str
    ordered_on: date
    ship_by: date
    lines: Lines
    customer: str = ""
    address: str = ""
    note: str = ""
    gift_message: str = ""
    came_from: str = ""
    kind: str = field(default=Order.Kind.ORDER.value)
    weight: int = 1
    seconds: Seconds = ()


def keep_order(order: NewOrder) -> Order:
    """Write an order with its lines. Part of the act that calls it.

    Raises: OrderRefused when the number is taken, or an order has no customer.
    """
    return keep_orders([order])[0]


def keep_orders(orders: Sequence[NewOrder]) -> list[Order]:
    """Write orders with their lines, however many. Part of the act that calls it.

    Raises: OrderRefused when a number is taken, or an order has no customer.
    """
    for order in orders:
        if order.kind != Order.Kind.MARKET and not order.customer:
            raise OrderRefused("Say who it is for.", field="customer")
    _refuse_taken(orders)
    customers = customers_of([order for order in orders if order.kind != Order.Kind.MARKET])
    rows = [
        Order(
            kind=order.kind,
            number=order.number,
            came_from=order.came_from,
            weight=order.weight,
            customer=customers.get((order.customer, order.address)) if order.customer else None,
            ordered_on=order.ordered_on,
            ship_by=order.ship_by,
            note=order.note,
            gift_message=order.gift_message,
        )
        for order in orders
    ]
    try:
        # Two screens may keep the same number at once; only the database sees both.
        with transaction.atomic():
            kept = Order.objects.bulk_create(rows, batch_size=AT_ONCE)
    except IntegrityError:
        _refuse_taken(orders)
        raise OrderRefused(
            "A number is here already. Give each order a number of its own.", field="number", number=""
        ) from None
    OrderLine.objects.bulk_create(
        (
            OrderLine(
                order=row,
                article_id=article,
                colour_id=colour,
                quantity=quantity,
                seconds_do=(article, colour) in order.seconds,
            )
            for row, order in zip(kept, orders, strict=True)
            for (article, colour), quantity in together(order.lines).items()
        ),
        batch_size=AT_ONCE,
    )
    return kept


def _refuse_taken(orders: Sequence[NewOrder]) -> None:
    for begin in range(0, len(orders), AT_ONCE):
        some = {order.number: order for order in orders[begin : begin + AT_ONCE]}
        taken = Order.objects.filter(number__in=some).values_list("number", "came_from").first()
        if taken:
            number, origin = taken
            new = some[number]
            from_there = f" from {origin}" if origin and origin != new.came_from else ""
            other = (
                f'"{with_origin(number, new.came_from)}"'
                if from_there and new.came_from
                else "another number"
            )
            raise OrderRefused(
                f"{number} is here already{from_there}. Give it {other}.", field="number", number=number
            )


def check_lines(lines: Lines, names: RangeNames, before: Lines = ()) -> None:
    """Refuse lines that cannot be made; what the order had `before` may stay, retired or not.

    Raises: OrderRefused.
    """
    if not lines:
        raise OrderRefused("Say what is ordered: at least one article.", field="lines")
    had = {(article, colour) for article, colour, _ in before}
    for article, colour, quantity in lines:
        if not 1 <= quantity <= QUANTITY_MOST:
            raise OrderRefused(f"{quantity} pieces are not from 1 to {QUANTITY_MOST}.", field="lines")
        if (article, colour) in had:
            continue
        if article not in names.articles:
            raise OrderRefused("That article is not in the Range any more. Choose another.", field="lines")
        if colour not in names.made_in[article]:
            colour_name = names.colours.get(colour, "that colour")
            raise OrderRefused(
                f"{names.articles[article]} is not made in {colour_name}. Choose another colour.",
                field="lines",
            )


def customers_of(orders: Sequence[NewOrder]) -> dict[tuple[str, str], Customer]:
    """The customers of these names and addresses, new ones where there are none."""
    wanted = dict.fromkeys((order.customer, order.address) for order in orders)
    names = list(dict.fromkeys(name for name, _ in wanted))
    found: dict[tuple[str, str], Customer] = {}
    for begin in range(0, len(names), AT_ONCE):
        here = Customer.objects.filter(name__in=names[begin : begin + AT_ONCE], erased_at__isnull=True)
        for one in here.order_by("-id"):
            found[one.name, one.address] = one
    new = [Customer(name=name, address=address) for name, address in wanted if (name, address) not in found]
    for one in Customer.objects.bulk_create(new, batch_size=AT_ONCE):
        found[one.name, one.address] = one
    return found


def together(lines: Lines) -> dict[tuple[int, int], int]:
    """Pieces by article and colour; rows of the same add up."""
    wanted: dict[tuple[int, int], int] = {}
    for article, colour, quantity in lines:
        wanted[article, colour] = wanted.get((article, colour), 0) + quantity
    return wanted
