"""Changing open orders and calling them off, with what that frees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.timezone import localdate

from inventory.operations.acts import Done, Tap, act
from inventory.queries.wording import in_words
from orders.arithmetic.freed import casts_freed
from orders.arithmetic.wanted_by import line_key
from orders.errors import NoSuchOrder, OrderClosed, OrderRefused
from orders.models import Assignment, Order, OrderBefore, OrderLine, Parcel
from orders.operations.assigning import let_go, lock_open_lines, offer_pieces, sorts_of
from orders.operations.keeping import NewOrder, Seconds, check_lines, customers_of, together
from orders.queries.range_names import range_names
from orders.queries.wording import counted, listed, near_day
from production.queries.planned_for import PlannedFor, planned_for


@act("orders.change_order")
def change_order(tap: Tap, *, order_id: int, order: NewOrder) -> Done:
    """Change an open order: day, address, notes, and lines as far as nothing of them has left.

    Changes: orders_order, orders_customer, orders_orderline, orders_orderbefore; pieces that are not wanted
    any more are let go.
    Raises: NoSuchOrder; OrderClosed; OrderRefused with the field to mend.
    """
    wanted = together(order.lines)
    lock_open_lines([*sorts_of([order_id]), *wanted])
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
    freed = change_lines(here, wanted, order.seconds)
    here.ship_by, here.ordered_on = order.ship_by, order.ordered_on
    here.note, here.gift_message, here.came_from = order.note, order.gift_message, order.came_from
    if here.kind == Order.Kind.ORDER:
        if not order.customer:
            raise OrderRefused("Say who it is for.", field="customer")
        if (order.customer, order.address) != (before.customer, before.address):
            here.customer = customers_of([order])[order.customer, order.address]
    here.weight = order.weight
    here.save()
    had = [(article, colour) for article, colour, _ in before.lines]
    offer_pieces(now=tap.now, sorts=[*had, *wanted])
    facts = {"order_id": here.pk, "number": here.number}
    leaves = f"{here.number} changed. Leaves {near_day(here.ship_by, today)}."
    return Done(f"{leaves}{changed_words(freed, today)}", facts)


@act("orders.call_off")
def call_off(tap: Tap, *, order_id: int) -> Done:
    """Close an order that is not wanted any more; its pieces are free for others. What has left stays so.

    Changes: orders_order; orders_assignment and orders_parcelpiece of what has not left.
    Raises: NoSuchOrder; OrderClosed.
    """
    sorts = sorts_of([order_id])
    lock_open_lines(sorts)
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
    offer_pieces(now=tap.now, sorts=sorts)
    said = f"{here.number} called off.{freed_words(len(pieces), shipped, ends, localdate(tap.now))}"
    return Done(said, {"order_id": here.pk, "number": here.number})


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
    """What a change of lines gives back: pieces here, pieces that need not be made, and their casts."""

    pieces: int
    not_made: int
    ends: PlannedFor


def change_lines(here: Order, wanted: Mapping[tuple[int, int], int], seconds: Seconds) -> Freed:
    """Make the lines what is wanted; of each line at least what has left stays. Part of an act.

    Raises: OrderRefused when more of a line has left than is wanted.
    """
    lines = {
        (line.article_id, line.colour_id): line for line in here.lines.select_related("article", "colour")
    }
    pieces = not_made = 0
    ends = PlannedFor(0, 0, (), 0)
    for key, line in lines.items():
        quantity = wanted.get(key, 0)
        shipped = Assignment.objects.filter(line=line, piece__shipped_at__isnull=False).count()
        if quantity < shipped:
            raise OrderRefused(
                f"{shipped} of {line.article} in {line.colour} have left already. Keep at least {shipped}.",
                field="lines",
            )
        lacked = line.quantity - Assignment.objects.filter(line=line).count()
        let_go_here = _let_go_beyond(line, quantity)
        lacks = quantity + let_go_here - (line.quantity - lacked)
        pieces += let_go_here
        if lacks < lacked:
            not_made += lacked - lacks
            ends = _both(ends, _spared(planned_for([line_key(line.pk)]), lacked, lacks))
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
    return Freed(pieces, not_made, ends)


def changed_words(freed: Freed, today: date) -> str:
    """What a change gives back: " 1 piece is free again. 2 planned casts (Wed 7) need not be poured ..." """
    said = freed_words(freed.pieces, 0, freed.ends, today)
    if freed.not_made and not freed.ends.casts + freed.ends.in_moulds:
        said += f" {counted(freed.not_made, 'piece')} need not be made: plan again to use the time."
    return said


def _spared(found: PlannedFor, lacked: int, lacks: int) -> PlannedFor:
    """The part of what is planned and poured for a line that it needs no more."""
    casts, in_moulds = casts_freed(found.casts, found.in_moulds, lacked=lacked, lacks=lacks)
    powder_mg = found.powder_mg * casts // found.casts if casts else 0
    return PlannedFor(casts, powder_mg, found.starts_at if casts else (), in_moulds)


def _both(one: PlannedFor, other: PlannedFor) -> PlannedFor:
    return PlannedFor(
        one.casts + other.casts,
        one.powder_mg + other.powder_mg,
        tuple(sorted({*one.starts_at, *other.starts_at})),
        one.in_moulds + other.in_moulds,
    )


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
        powder = f", {in_words(ends.powder_mg, 'g')} of powder" if ends.powder_mg else ""
        said += (
            f" {counted(ends.casts, 'planned cast')} ({listed(list(dict.fromkeys(days)))}) need not be"
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
