"""What can leave now: complete orders, those complete tomorrow, and those that wait for one thing."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from django.utils.timezone import localdate

from inventory.ports import StudioHours
from orders.arithmetic.instead import WaitingOrder, could_leave_instead
from orders.models import Order, OrderLine
from orders.queries.line_states import LineState, line_states
from orders.queries.open_orders import end_words, ready_at
from orders.queries.wording import counted, day_clock, listed, near_day

INSTEAD_MOST = 10
ONE_THING_MOST = 100


@dataclass(frozen=True)
class LeavingRow:
    """One order: `says` what it waits for, "" when it is complete."""

    number: str
    who: str
    pieces: int
    ship_by: date
    leaves: str
    says: str
    end: str
    is_late: bool


@dataclass(frozen=True)
class PieceInstead:
    """A ready piece that another order has, for a line of the order that could leave with it."""

    line_id: int
    mark: str
    kept_for: str


@dataclass(frozen=True)
class RowInstead:
    """An order that could leave now with pieces of others."""

    number: str
    who: str
    says: str
    pieces: tuple[PieceInstead, ...]


@dataclass(frozen=True)
class CanLeave:
    """The open orders by how near they are to leaving, earliest ship-by first."""

    now: tuple[LeavingRow, ...]
    tomorrow: tuple[LeavingRow, ...]
    one_thing: tuple[LeavingRow, ...]
    more_one_thing: int
    others: int
    instead: tuple[RowInstead, ...]

    @property
    def statement(self) -> str:
        """ "3 orders can leave now, 1 more tomorrow"."""
        now = counted(len(self.now), "order") if self.now else "No order"
        tomorrow = f", {len(self.tomorrow)} more tomorrow" if self.tomorrow else ""
        return f"{now} can leave now{tomorrow}"


@dataclass(frozen=True)
class _Standing:
    order: Order
    states: list[LineState]
    ready_at: datetime | None

    @property
    def lacking(self) -> list[LineState]:
        return [state for state in self.states if state.ready < state.left]


def can_leave(*, now: datetime, hours: StudioHours) -> CanLeave:
    """How near every open order is to leaving. Twelve queries at most, however many orders."""
    lines = list(
        OrderLine.objects.filter(order__closed_at__isnull=True)
        .select_related("order__customer", "article", "colour")
        .order_by("order__ship_by", "order_id", "id")
    )
    states = line_states(lines, now=now)
    standing = []
    for _, found in groupby(lines, key=lambda line: line.order_id):
        mine = [states[line.pk] for line in found]
        if sum(state.left for state in mine):
            standing.append(_Standing(mine[0].line.order, mine, ready_at(mine)))
    tomorrow = localdate(now) + timedelta(days=1)
    groups: dict[str, list[_Standing]] = defaultdict(list)
    for one in standing:
        groups[_group(one, tomorrow)].append(one)

    def rows(name: str, most: int | None = None) -> tuple[LeavingRow, ...]:
        return tuple(_row(one, now, hours) for one in groups[name][:most])

    return CanLeave(
        now=rows("now"),
        tomorrow=rows("tomorrow"),
        one_thing=rows("one thing", ONE_THING_MOST),
        more_one_thing=max(0, len(groups["one thing"]) - ONE_THING_MOST),
        others=len(groups["others"]),
        instead=_instead(groups["one thing"] + groups["others"], groups["tomorrow"], now),
    )


def _group(one: _Standing, tomorrow: date) -> str:
    if not one.lacking:
        return "now"
    if one.ready_at and localdate(one.ready_at) <= tomorrow:
        return "tomorrow"
    return "one thing" if len(one.lacking) == 1 else "others"


def _row(one: _Standing, now: datetime, hours: StudioHours) -> LeavingRow:
    end, is_late = end_words(one.order, one.states, now=now, hours=hours)
    return LeavingRow(
        number=one.order.number,
        who=one.order.customer.name if one.order.customer else "market day",
        pieces=sum(state.left for state in one.states),
        ship_by=one.order.ship_by,
        leaves=near_day(one.order.ship_by, localdate(now)),
        says=_waits_for(one, now),
        end=end,
        is_late=is_late,
    )


def _waits_for(one: _Standing, now: datetime) -> str:
    """ "waits for 2 Ferry tray in Rust: 1 drying, 1 not poured; ready Thu 15, 13:00"."""
    if not one.lacking:
        return ""
    parts = []
    for state in one.lacking:
        words = Counter(word for word in state.states if word != "ready")
        how = ", ".join(word if len(words) == 1 else f"{count} {word}" for word, count in words.items())
        lacks = state.left - state.ready
        parts.append(f"{lacks} {state.line.article} in {state.line.colour}, {how}")
    when = f"; ready {day_clock(one.ready_at, now)}" if one.ready_at and one.ready_at > now else ""
    return f"waits for {listed(parts)}{when}"


def _instead(
    waiting: Sequence[_Standing], tomorrow: Sequence[_Standing], now: datetime
) -> tuple[RowInstead, ...]:
    """Orders that could leave now with ready pieces of orders that wait longer than until tomorrow."""
    in_order = sorted([*waiting, *tomorrow], key=lambda one: (one.order.ship_by, one.order.pk))
    soon = {one.order.pk for one in tomorrow}
    by_number = {one.order.number: one for one in in_order}
    offers = could_leave_instead(
        [
            WaitingOrder(
                one.order.number,
                {_kind(state): state.left - state.ready for state in one.lacking},
                {} if one.order.pk in soon else {_kind(state): _movable(state) for state in one.states},
            )
            for one in in_order
        ]
    )
    found = []
    for offer in offers[:INSTEAD_MOST]:
        one = by_number[offer.number]
        line_of = {_kind(state): state.line.pk for state in one.states}
        givers = sorted({giver for _, _, giver in offer.pieces})
        waits = [f"{giver}, which {_waits_for(by_number[giver], now)}" for giver in givers]
        found.append(
            RowInstead(
                number=offer.number,
                who=one.order.customer.name if one.order.customer else "market day",
                says=f"could leave now with {listed([mark for _, mark, _ in offer.pieces])}, kept for"
                f" {listed(waits)}.",
                pieces=tuple(PieceInstead(line_of[kind], mark, giver) for kind, mark, giver in offer.pieces),
            )
        )
    return tuple(found)


def _kind(state: LineState) -> tuple[int, int]:
    return state.line.article_id, state.line.colour_id


def _movable(state: LineState) -> list[str]:
    """Marks of ready good pieces that were not chosen by hand and are in no box."""
    return [
        piece.mark
        for kept, piece in state.kept
        if piece.is_ready and piece.outcome == "good" and not (kept.by_hand or kept.is_boxed)
    ]
