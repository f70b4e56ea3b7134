"""One order: what is wanted, where its pieces are, and what has left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from inventory.ports import StudioHours
from orders.errors import NoSuchOrder
from orders.models import Order, OrderLine, Parcel, Return
from orders.queries.line_states import LineState, PieceDrawn, drawn_pieces, line_states
from orders.queries.open_orders import end_words, order_sentence
from orders.queries.wording import leaves_words

NOT_WANTED = Return.Why.MIND.label


@dataclass(frozen=True)
class LineOnPage:
    """One line with its pieces as silhouettes, and where each piece stands."""

    state: LineState
    drawn: tuple[PieceDrawn, ...]

    @property
    def where(self) -> str:
        """The pieces in words: "2 shipped, K7R4 ready, 1 in the mould, 3 not poured"."""
        parts = [f"{one.mark} shipped" for one in self.state.shipped]
        parts += [
            f"{piece.mark} {'in the box' if one.is_boxed else piece.state}"
            + (", chosen by hand" if one.by_hand else "")
            for one, piece in self.state.kept
        ]
        if self.state.in_moulds:
            parts.append(f"{self.state.in_moulds} in the mould")
        if self.state.not_poured:
            parts.append(f"{self.state.not_poured} not poured")
        return ", ".join(parts)


@dataclass(frozen=True)
class ParcelOnPage:
    """A parcel that left."""

    id: int
    number: int
    shipped_at: datetime
    marks: tuple[str, ...]
    carrier: str
    tracking: str
    weight_mg: int | None


@dataclass(frozen=True)
class ReturnOnPage:
    """A piece that came back or broke; `replaced_by` is the number of the order sent in its place."""

    mark: str
    why: str
    outcome: str
    noted_at: datetime
    replaced_by: str


@dataclass(frozen=True)
class OrderPage:
    """Everything the page of an order shows. `who` is the customer, or "market day"."""

    id: int
    number: str
    kind: str
    who: str
    address: str
    customer_id: int | None
    is_erased: bool
    came_from: str
    weight: int
    ordered_on: date
    ship_by: date
    leaves: str
    note: str
    gift_message: str
    closed_at: datetime | None
    called_off: bool
    lines: tuple[LineOnPage, ...]
    parcels: tuple[ParcelOnPage, ...]
    returns: tuple[ReturnOnPage, ...]
    replaces: str
    sentence: str
    end: str
    is_late: bool

    @property
    def states(self) -> tuple[LineState, ...]:
        """How each line stands."""
        return tuple(line.state for line in self.lines)

    @property
    def is_open(self) -> bool:
        """Whether something of it is still to leave."""
        return self.closed_at is None

    @property
    def is_unplanned(self) -> bool:
        """Whether some of it is still to be poured, and the plan does not know it."""
        return self.is_open and any(state.not_poured and state.forecast is None for state in self.states)

    @property
    def can_come_back(self) -> tuple[str, ...]:
        """Marks of the pieces that left and were not noted as back."""
        back = {one.mark for one in self.returns}
        return tuple(mark for parcel in self.parcels for mark in parcel.marks if mark not in back)

    @property
    def wants_replacing(self) -> bool:
        """Whether something came back that is wanted after all, and nothing was sent in its place."""
        return (
            not self.is_open
            and not self.is_erased
            and self.customer_id is not None
            and any(not one.replaced_by and one.why != NOT_WANTED for one in self.returns)
        )

    @property
    def ready(self) -> int:
        """Pieces that can be packed or are packed."""
        return sum(state.ready for state in self.states)

    @property
    def left(self) -> int:
        """Pieces that have not left."""
        return sum(state.left for state in self.states)


def order_page(number: str, *, now: datetime, hours: StudioHours) -> OrderPage:
    """One order by its number. Fifteen queries at most, however many lines and pieces.

    Raises: NoSuchOrder.
    """
    order = find_order(number)
    lines = list(
        OrderLine.objects.filter(order=order).select_related("order", "article", "colour").order_by("id")
    )
    states = line_states(lines, now=now)
    mine = [states[line.pk] for line in lines]
    end, is_late = end_words(order, mine, now=now, hours=hours) if order.closed_at is None else ("", False)
    parcels = Parcel.objects.filter(order=order, shipped_at__isnull=False).prefetch_related("pieces__piece")
    return OrderPage(
        id=order.pk,
        number=order.number,
        kind=order.kind,
        who=order.customer.name if order.customer else "market day",
        address=order.customer.address if order.customer else "",
        customer_id=order.customer_id,
        is_erased=bool(order.customer and order.customer.erased_at),
        came_from=order.came_from,
        weight=order.weight,
        ordered_on=order.ordered_on,
        ship_by=order.ship_by,
        leaves=leaves_words(order.ship_by, localdate(now)),
        note=order.note,
        gift_message=order.gift_message,
        closed_at=order.closed_at,
        called_off=order.called_off,
        lines=tuple(LineOnPage(state, tuple(drawn_pieces(state, now=now))) for state in mine),
        parcels=tuple(
            ParcelOnPage(
                row.pk,
                row.number,
                row.shipped_at,
                tuple(one.piece.mark for one in row.pieces.all()),
                row.carrier,
                row.tracking,
                row.weight_mg,
            )
            for row in parcels
            if row.shipped_at
        ),
        returns=_returns(order),
        replaces=order.replaces.number if order.replaces else "",
        sentence=order_sentence(mine, now=now),
        end=end,
        is_late=is_late,
    )


def _returns(order: Order) -> tuple[ReturnOnPage, ...]:
    rows = Return.objects.filter(parcel__order=order).select_related("piece", "replaced_by").order_by("id")
    return tuple(
        ReturnOnPage(
            row.piece.mark,
            row.get_why_display(),
            row.outcome,
            row.noted_at,
            row.replaced_by.number if row.replaced_by else "",
        )
        for row in rows
    )


def find_order(number: str) -> Order:
    """The order with this number, small letters and capitals alike. One query.

    Raises: NoSuchOrder.
    """
    found = list(Order.objects.select_related("customer", "replaces").filter(number__iexact=number)[:2])
    exact = next((order for order in found if order.number == number), None)
    if not found:
        raise NoSuchOrder(f"No order {number[:40]}. Look in the list.", number=number)
    return exact or found[0]


def next_number() -> str:
    """The number after the highest one made of figures only; "" when there is none. One query."""
    figures = [
        int(number)
        for number in Order.objects.filter(kind=Order.Kind.ORDER)
        .order_by("-id")
        .values_list("number", flat=True)[:200]
        if number.isdecimal() and len(number) < 12
    ]
    return str(max(figures) + 1) if figures else ""
