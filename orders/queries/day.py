"""What leaves on a day: for its pick list, and for all its papers at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from orders.models import Order, OrderLine
from orders.queries.line_states import LineState, line_states


@dataclass(frozen=True)
class Pick:
    """One piece to take off the shelf: whose it is, and whether it is in the box already."""

    mark: str
    article: str
    colour: str
    number: str
    is_boxed: bool


@dataclass(frozen=True)
class DayOrder:
    """One order that should leave by the day: pieces that can be packed, of those that have not left."""

    id: int
    number: str
    who: str
    ship_by: date
    ready: int
    left: int


@dataclass(frozen=True)
class Day:
    """Open orders that should leave by a day, and the pieces of them that are ready, article by article."""

    orders: tuple[DayOrder, ...]
    picks: tuple[Pick, ...]

    @property
    def to_print(self) -> tuple[DayOrder, ...]:
        """The orders of which something can be packed."""
        return tuple(order for order in self.orders if order.ready)


def day_of(day: date, *, now: datetime) -> Day:
    """What should leave by a day, late orders among them. Twelve queries, however many orders."""
    lines = list(
        OrderLine.objects.filter(order__closed_at__isnull=True, order__ship_by__lte=day)
        .select_related("order__customer", "article", "colour")
        .order_by("order__ship_by", "order_id", "id")
    )
    states = line_states(lines, now=now)
    orders = [
        _order(group[0].order, [states[line.pk] for line in group])
        for group in (list(found) for _, found in groupby(lines, key=lambda line: line.order_id))
    ]
    picks = [
        Pick(piece.mark, piece.article, piece.colour, state.line.order.number, kept.is_boxed)
        for state in states.values()
        for kept, piece in state.kept
        if piece.is_ready
    ]
    picks.sort(key=lambda one: (one.article, one.colour))
    return Day(tuple(orders), tuple(picks))


def first_day_open() -> date | None:
    """The day that the first open order should leave by; None where none is open. One query."""
    open_orders = Order.objects.filter(closed_at__isnull=True)
    return open_orders.order_by("ship_by").values_list("ship_by", flat=True).first()


def _order(order: Order, states: Sequence[LineState]) -> DayOrder:
    return DayOrder(
        order.pk,
        order.number,
        order.customer.name if order.customer else "market day",
        order.ship_by,
        sum(state.ready for state in states),
        sum(state.left for state in states),
    )
