"""The Orders page: open orders by the day they leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby

from django.db.models import Count
from django.utils.timezone import localdate

from inventory.ports import StudioHours
from orders.arithmetic.standing import standing_sentence
from orders.models import Order, OrderLine
from orders.queries.leave_times import leaves_at
from orders.queries.line_states import LineState, PieceDrawn, drawn_pieces, line_states
from orders.queries.wording import count_word, counted, day_clock, leaves_words, near_day, span_words

DRAWN_MOST = 16
CLOSED_MOST = 60
ORDERS_A_PAGE = 100
SECONDS_PER_DAY = 86_400


@dataclass(frozen=True)
class OrderRow:
    """One open order: `end` is spare or late in words, `more` counts pieces that are not drawn."""

    id: int
    number: str
    who: str
    is_market: bool
    ship_by: date
    pieces: tuple[PieceDrawn, ...]
    more: int
    sentence: str
    end: str
    is_late: bool
    can_pack: bool


@dataclass(frozen=True)
class LeavingDay:
    """Orders that leave on one day."""

    heading: str
    rows: tuple[OrderRow, ...]


@dataclass(frozen=True)
class OpenOrders:
    """One page of the open orders, and how many orders and market days are open in all."""

    days: tuple[LeavingDay, ...]
    orders: int
    markets: int
    page: int = 1

    @property
    def pages(self) -> int:
        """How many pages there are."""
        return max(1, -(-(self.orders + self.markets) // ORDERS_A_PAGE))

    @property
    def statement(self) -> str:
        """How the orders stand: "7 orders open, one leaves late"."""
        if not self.orders + self.markets:
            return "No open orders"
        open_words = [counted(self.orders, "order")] if self.orders else []
        open_words += [counted(self.markets, "market day")] if self.markets else []
        rows = [row for day in self.days for row in day.rows]
        late = sum(row.is_late for row in rows)
        late_words = {0: "none leaves late", 1: "one leaves late"}.get(late, f"{count_word(late)} leave late")
        of_these = f"of the {len(rows)} here " if self.pages > 1 else ""
        return f"{' and '.join(open_words)} open, {of_these}{late_words}"


@dataclass(frozen=True)
class ClosedOrder:
    """An order that was shipped in full or called off."""

    number: str
    who: str
    ship_by: date
    closed_at: datetime
    called_off: bool


def open_orders(*, now: datetime, hours: StudioHours, page: int = 1) -> OpenOrders:
    """A page of the open orders, by the day they leave. Thirteen queries at most, however many orders."""
    are_open = Order.objects.filter(closed_at__isnull=True)
    count = dict(are_open.order_by().values_list("kind").annotate(Count("id")))
    found = OpenOrders((), count.get(Order.Kind.ORDER, 0), count.get(Order.Kind.MARKET, 0))
    page = min(max(page, 1), found.pages)
    shown = are_open.order_by("ship_by", "id").values("id")[(page - 1) * ORDERS_A_PAGE : page * ORDERS_A_PAGE]
    lines = list(
        OrderLine.objects.filter(order__in=shown)
        .select_related("order__customer", "article", "colour")
        .order_by("order__ship_by", "order_id", "id")
    )
    states = line_states(lines, now=now)
    today = localdate(now)
    rows = [
        _row(group[0].order, [states[line.pk] for line in group], now, hours)
        for _, of_order in groupby(lines, key=lambda line: line.order_id)
        if (group := list(of_order))
    ]
    days = tuple(
        LeavingDay(leaves_words(day, today), tuple(of_day))
        for day, of_day in groupby(rows, key=lambda row: row.ship_by)
    )
    return replace(found, days=days, page=page)


def closed_orders() -> list[ClosedOrder]:
    """The last orders that were closed, latest first. One query."""
    rows = (
        Order.objects.filter(closed_at__isnull=False)
        .select_related("customer")
        .order_by("-closed_at", "-id")[:CLOSED_MOST]
    )
    return [
        ClosedOrder(
            number=row.number,
            who=row.customer.name if row.customer else "market day",
            ship_by=row.ship_by,
            closed_at=row.closed_at,
            called_off=row.called_off,
        )
        for row in rows
        if row.closed_at
    ]


def order_sentence(states: Sequence[LineState], *, now: datetime) -> str:
    """How the pieces of one order stand, with when the last is ready."""
    last = ready_at(states)
    pours = sorted({at for state in states if state.forecast for at in state.forecast.pours_at if at > now})
    return standing_sentence(
        [word for state in states for word in state.states],
        boxed=sum(state.boxed for state in states),
        shipped=sum(len(state.shipped) for state in states),
        pours=_pour_words(pours, now),
        ready_words=day_clock(last, now) if last else "",
    )


def ready_at(states: Sequence[LineState]) -> datetime | None:
    """When everything of an order can leave, None while that is not known."""
    instants = []
    for state in states:
        if not state.left:
            continue
        known = [piece.ready_at for _, piece in state.kept]
        if state.in_moulds + state.not_poured == 0 and all(known):
            instants += [at for at in known if at]
        elif state.forecast and state.forecast.packed_at:
            instants.append(state.forecast.packed_at)
        else:
            return None
    return max(instants, default=None)


def end_words(
    order: Order, states: Sequence[LineState], *, now: datetime, hours: StudioHours
) -> tuple[str, bool]:
    """Spare or late in words, and whether it is late; "" while the plan does not say."""
    leaves, last = leaves_at(hours, order.ship_by), ready_at(states)
    all_ready = all(state.ready == state.left for state in states)
    if now > leaves and not all_ready and (last is None or last > leaves):
        past = (localdate(now) - order.ship_by).days
        return (f"late {past} d" if past else "late"), True
    if last is None:
        return "", False
    last = max(last, now)
    if last > leaves:
        # Begun days count, as the planner counts them.
        return f"late {-int(-(last - leaves).total_seconds() // SECONDS_PER_DAY)} d", True
    return f"spare {span_words(int((leaves - last).total_seconds() // 60))}", False


def _row(order: Order, states: Sequence[LineState], now: datetime, hours: StudioHours) -> OrderRow:
    drawn = [piece for state in states for piece in drawn_pieces(state, now=now)]
    end, is_late = end_words(order, states, now=now, hours=hours)
    ready = sum(state.ready for state in states)
    return OrderRow(
        id=order.pk,
        number=order.number,
        who=order.customer.name if order.customer else "market day",
        is_market=order.kind == Order.Kind.MARKET,
        ship_by=order.ship_by,
        pieces=tuple(drawn[:DRAWN_MOST]),
        more=max(0, len(drawn) - DRAWN_MOST),
        sentence=order_sentence(states, now=now),
        end=end,
        is_late=is_late,
        can_pack=bool(drawn) and ready == len(drawn),
    )


def _pour_words(pours: Sequence[datetime], now: datetime) -> list[str]:
    """Times of one or two pours, days of more: "today 11:20", "today and Wed"."""
    today = localdate(now)
    days = [localdate(at) for at in pours]
    if len(pours) == 1:
        words = day_clock(pours[0], now)
        return [words if days[0] != today else f"today {words}"]
    return list(dict.fromkeys(near_day(day, today) for day in days))
