"""Orders as programs read them: plain figures and words, without the plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Prefetch, Q

from orders.models import Order, OrderLine
from orders.queries.needs import SHIPPED
from orders.queries.order_page import find_order

KEPT = Count("assignments", filter=Q(assignments__piece__shipped_at__isnull=True))
PAGE_MOST = 100


@dataclass(frozen=True)
class OrdersPage:
    """Some orders in the order they were kept; the next page, if any, begins after `next_after`."""

    orders: tuple[dict[str, Any], ...]
    next_after: int | None


def orders_after(after: int, *, most: int, is_open: bool | None) -> OrdersPage:
    """The next orders after the one with the id `after`, oldest first. Two queries, however many."""
    rows = _with_lines(Order.objects.filter(pk__gt=after).order_by("pk"))
    if is_open is not None:
        rows = rows.filter(closed_at__isnull=is_open)
    found = list(rows[: most + 1])
    shown = found[:most]
    return OrdersPage(
        tuple(_record(order) for order in shown), shown[-1].pk if len(found) > most and shown else None
    )


def order_record(number: str) -> dict[str, Any]:
    """One order by its number. Three queries.

    Raises: NoSuchOrder.
    """
    return _record(_with_lines(Order.objects.filter(pk=find_order(number).pk)).get())


def _with_lines(orders: Any) -> Any:
    lines = OrderLine.objects.select_related("article", "colour").annotate(shipped=SHIPPED, kept=KEPT)
    return orders.select_related("customer").prefetch_related(Prefetch("lines", lines.order_by("id")))


def _record(order: Order) -> dict[str, Any]:
    customer = order.customer
    return {
        "number": order.number,
        "kind": order.kind,
        "state": "open" if order.closed_at is None else "called off" if order.called_off else "shipped",
        "came_from": order.came_from,
        "customer": customer.name if customer else "",
        "address": customer.address.splitlines() if customer else [],
        "ordered_on": order.ordered_on.isoformat(),
        "ship_by": order.ship_by.isoformat(),
        "late_counts": order.weight,
        "note": order.note,
        "gift_message": order.gift_message,
        "lines": [
            {
                "article": line.article.name,
                "colour": line.colour.name,
                "quantity": line.quantity,
                "seconds_do": line.seconds_do,
                "kept": line.kept,
                "shipped": line.shipped,
            }
            for line in _counted_lines(order)
        ],
    }


def _counted_lines(order: Order) -> Any:
    """The lines with the counts that `_with_lines` had them fetched with."""
    return order.lines.all()
