"""Taking orders: typed by hand, changed, called off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils.timezone import localdate

from inventory.operations.acts import Done, Tap, act
from inventory.queries.wording import in_words
from orders.arithmetic.reading.cells import QUANTITY_MOST
from orders.arithmetic.reading.file_orders import with_origin
from orders.arithmetic.reading.names import RangeNames
from orders.arithmetic.wanted_by import line_key
from orders.errors import NoSuchOrder, OrderClosed, OrderRefused
from orders.models import Assignment, Customer, Order, OrderBefore, OrderLine, Parcel
from orders.operations.assigning import let_go, lock_open_lines, offer_pieces
from orders.queries.range_names import range_names
from orders.queries.wording import counted, listed, near_day
from production.queries.planned_for import PlannedFor, planned_for

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
    offer_pieces(now=tap.now)
    said = f"{kept.number} kept: {_pieces(order.lines)}, leaves {near_day(order.ship_by, today)}."
    return Done(said, {"order_id": kept.pk, "number": kept.number})


@act("orders.change_order")
def change_order(tap: Tap, *, order_id: int, order: NewOrder) -> Done:
    """Change an open order: day, address, notes, and lines as far as nothing of them has left.

    Changes: orders_order, orders_customer, orders_orderline, orders_orderbefore; pieces that are not wanted
    any more are let go.
    Raises: NoSuchOrder; OrderClosed; OrderRefused with the field to mend.
    """
    lock_open_lines()
    here = lock_open_order(order_id)
    if order.number != here.number:
        raise OrderRefused("The number of an order stays. Call it off and type a new one.", field="number")
    today = localdate(tap.now)
    if order.ship_by < today and order.ship_by != here.ship_by:
        raise OrderRefused(
            f"{near_day(order.ship_by, today)} is past. Give a day from today on.", field="ship_by"
        )
    before = as_kept(here)
    check_lines(order.lines, range_names(), before.lines)
    keep_before(here, before, tap.request_key)
    freed = change_lines(here, together(order.lines), order.seconds)
    here.ship_by, here.ordered_on = order.ship_by, order.ordered_on
    here.note, here.gift_message, here.came_from = order.note, order.gift_message, order.came_from
    if here.kind == Order.Kind.ORDER:
        if not order.customer:
            raise OrderRefused("Say who it is for.", field="customer")
        if (order.customer, order.address) != (before.customer, before.address):
            here.customer = _customers([order])[order.customer, order.address]
    here.weight = order.weight
    here.save()
    offer_pieces(now=tap.now)
    facts = {"order_id": here.pk, "number": here.number}
    leaves = f"{here.number} changed. Leaves {near_day(here.ship_by, today)}."
    return Done(f"{leaves}{changed_words(freed)}", facts)


@act("orders.call_off")
def call_off(tap: Tap, *, order_id: int) -> Done:
    """Close an order that is not wanted any more; its pieces are free for others. What has left stays so.

    Changes: orders_order; orders_assignment and orders_parcelpiece of what has not left.
    Raises: NoSuchOrder; OrderClosed.
    """
    lock_open_lines()
    here = lock_open_order(order_id)
    pieces = list(
        Assignment.objects.filter(line__order=here, piece__shipped_at__isnull=True).values_list(
            "piece", flat=True
        )
    )
    ends = planned_for([line_key(line.pk) for line in here.lines.all()])
    shipped = Assignment.objects.filter(line__order=here, piece__shipped_at__isnull=False).count()
    let_go(pieces)
    Parcel.objects.filter(order=here, shipped_at__isnull=True).delete()
    here.closed_at, here.called_off = tap.now, True
    here.save(update_fields=["closed_at", "called_off"])
    offer_pieces(now=tap.now)
    said = f"{here.number} called off.{freed_words(len(pieces), shipped, ends, localdate(tap.now))}"
    return Done(said, {"order_id": here.pk, "number": here.number})


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
    customers = _customers([order for order in orders if order.kind != Order.Kind.MARKET])
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


def lock_open_order(order_id: int) -> Order:
    """The order, locked until the act ends.

    Raises: NoSuchOrder; OrderClosed when it was shipped in full or called off.
    """
    here = (
        Order.objects.select_for_update(no_key=True, of=("self",))
        .select_related("customer")
        .filter(pk=order_id)
        .first()
    )
    if here is None:
        raise NoSuchOrder("There is no such order. Open the list again.", number="")
    if here.closed_at is not None:
        how = "called off" if here.called_off else "shipped in full"
        raise OrderClosed(f"{here.number} was {how}. Nothing was changed.", number=here.number)
    return here


def _customers(orders: Sequence[NewOrder]) -> dict[tuple[str, str], Customer]:
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


def as_kept(here: Order) -> NewOrder:
    """An order that is kept, as it would be typed."""
    lines = list(here.lines.order_by("id"))
    return NewOrder(
        number=here.number,
        ordered_on=here.ordered_on,
        ship_by=here.ship_by,
        customer=here.customer.name if here.customer else "",
        address=here.customer.address if here.customer else "",
        note=here.note,
        gift_message=here.gift_message,
        came_from=here.came_from,
        kind=here.kind,
        weight=here.weight,
        lines=tuple((line.article_id, line.colour_id, line.quantity) for line in lines),
        seconds=tuple((line.article_id, line.colour_id) for line in lines if line.seconds_do),
    )


def keep_before(here: Order, before: NewOrder, request_key: UUID) -> None:
    """Note an order as it is, before the act with this key changes it. Part of the act that calls it."""
    OrderBefore.objects.create(
        order=here,
        request_key=request_key,
        fields={
            "ship_by": before.ship_by.isoformat(),
            "ordered_on": before.ordered_on.isoformat(),
            "note": before.note,
            "gift_message": before.gift_message,
            "came_from": before.came_from,
            "weight": before.weight,
            "customer_id": here.customer_id,
        },
        lines=[
            [article, colour, quantity, (article, colour) in before.seconds]
            for article, colour, quantity in before.lines
        ],
    )


@dataclass(frozen=True)
class Freed:
    """What a change of lines gives back: pieces that are here, and pieces that need not be made."""

    pieces: int = 0
    not_made: int = 0


def change_lines(here: Order, wanted: Mapping[tuple[int, int], int], seconds: Seconds) -> Freed:
    """Make the lines what is wanted; of each line at least what has left stays. Part of an act.

    Raises: OrderRefused when more of a line has left than is wanted.
    """
    lines = {
        (line.article_id, line.colour_id): line for line in here.lines.select_related("article", "colour")
    }
    pieces = not_made = 0
    for key, line in lines.items():
        quantity = wanted.get(key, 0)
        shipped = Assignment.objects.filter(line=line, piece__shipped_at__isnull=False).count()
        if quantity < shipped:
            raise OrderRefused(
                f"{shipped} of {line.article} in {line.colour} have left already. Keep at least {shipped}.",
                field="lines",
            )
        let_go_here = _let_go_beyond(line, quantity)
        pieces += let_go_here
        not_made += max(0, line.quantity - quantity - let_go_here)
        if quantity == 0:
            line.delete()
        else:
            OrderLine.objects.filter(pk=line.pk).update(quantity=quantity, seconds_do=key in seconds)
    OrderLine.objects.bulk_create(
        OrderLine(
            order=here,
            article_id=article,
            colour_id=colour,
            quantity=quantity,
            seconds_do=(article, colour) in seconds,
        )
        for (article, colour), quantity in wanted.items()
        if (article, colour) not in lines
    )
    return Freed(pieces, not_made)


def changed_words(freed: Freed) -> str:
    """What a change gives back: " 1 piece is free again. 2 pieces need not be made: plan again." """
    said = ""
    if freed.pieces:
        said += f" {counted(freed.pieces, 'piece')} {_is(freed.pieces)} free again."
    if freed.not_made:
        need = "needs" if freed.not_made == 1 else "need"
        said += f" {counted(freed.not_made, 'piece')} {need} not be made: plan again to use the time."
    return said


def freed_words(pieces: int, shipped: int, ends: PlannedFor, today: date) -> str:
    """What calling an order off gives back: pieces, casts in moulds, pours of the plan and their powder."""
    said = f" {counted(shipped, 'piece')} that left {_stays(shipped)} shipped." if shipped else ""
    if pieces:
        said += f" {counted(pieces, 'piece')} {_is(pieces)} free again."
    if ends.in_moulds:
        casts = counted(ends.in_moulds, "cast")
        said += f" {casts} in the making {_is(ends.in_moulds)} for whoever lacks one."
    if ends.casts:
        days = [near_day(localdate(at), today) for at in ends.starts_at]
        need = "needs" if ends.casts == 1 else "need"
        powder = f", {in_words(ends.powder_mg, 'g')} of powder" if ends.powder_mg else ""
        said += (
            f" {counted(ends.casts, 'planned cast')} ({listed(list(dict.fromkeys(days)))}) {need} not be"
            f" poured{powder}: plan again to use that."
        )
    return said


def _let_go_beyond(line: OrderLine, quantity: int) -> int:
    """Let the last pieces of a line go that it does not want any more; answers how many."""
    kept = list(Assignment.objects.filter(line=line).select_related("piece").order_by("-by_hand", "id"))
    kept.sort(key=lambda one: one.piece.shipped_at is None)  # what has left comes first and stays
    let_go(one.piece_id for one in kept[quantity:])
    return len(kept[quantity:])


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def _stays(count: int) -> str:
    return "stays" if count == 1 else "stay"


def _pieces(lines: Lines) -> str:
    return counted(sum(quantity for *_, quantity in lines), "piece")
