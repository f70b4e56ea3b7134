"""Packing one order: what goes into the box, what is missing, and what it takes off the stores."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.timezone import localdate

from inventory.ports import StudioHours
from inventory.queries.wording import in_words
from orders.arithmetic.postal import PostalAddress, laid_out
from orders.models import Order, OrderLine
from orders.queries.line_states import LineState, line_states
from orders.queries.open_orders import open_orders, ready_at
from orders.queries.order_page import find_order
from orders.queries.wording import count_word, counted, day_clock, leaves_words, listed, near_day
from production.queries.care import CareFacts, care_facts
from production.queries.progress import PieceHere
from production.queries.trace import traced_mixes
from production.queries.weights import piece_weights


@dataclass(frozen=True)
class PackRow:
    """One piece of the order that can be packed now."""

    mark: str
    article: str
    colour: str
    hex: str
    silhouette: str
    is_boxed: bool


@dataclass(frozen=True)
class InIt:
    """Pieces of the same mixes: their marks, the mixes and the lots of the powder."""

    marks: str
    mixes: str
    lots: str


@dataclass(frozen=True)
class PackingPage:
    """One order on the packing table. `waiting` says what cannot be packed yet, "" when all can."""

    order_id: int
    number: str
    who: str
    address: str
    is_market: bool
    leaves: str
    gift_message: str
    note: str
    rows: tuple[PackRow, ...]
    left: int
    waiting: str
    follows: str
    packaging: str
    suggested: Mapping[int, int]
    weighs_mg: int | None
    window: PostalAddress
    in_it: tuple[InIt, ...]
    care: tuple[CareFacts, ...]
    next_to_pack: str

    @property
    def boxed(self) -> tuple[str, ...]:
        """Marks of the pieces in the box."""
        return tuple(row.mark for row in self.rows if row.is_boxed)

    @property
    def to_tick(self) -> tuple[str, ...]:
        """Marks of the pieces that are ready and not in the box."""
        return tuple(row.mark for row in self.rows if not row.is_boxed)

    @property
    def is_complete(self) -> bool:
        """Whether everything that has not left is in the box."""
        return self.left > 0 and len(self.boxed) == self.left

    @property
    def tally(self) -> str:
        """ "3 of 4 in the box. One to go, piece T3VY." """
        if self.is_complete:
            return f"All {self.left} in the box." if self.left > 1 else "It is in the box."
        said = f"{len(self.boxed)} of {self.left} in the box."
        if self.to_tick:
            pieces = "piece" if len(self.to_tick) == 1 else "pieces"
            marks = listed(self.to_tick[:6])
            more = f" and {len(self.to_tick) - 6} more" if len(self.to_tick) > 6 else ""
            said += f" {count_word(len(self.to_tick)).capitalize()} to go, {pieces} {marks}{more}."
        return said

    @property
    def candles(self) -> int:
        """Care cards that carry candle cautions."""
        return sum(one.is_candle for one in self.care)

    @property
    def without_wording(self) -> tuple[str, ...]:
        """Materials that pieces are filled with and that no hazard wording is kept for."""
        names = {fill.material for one in self.care for fill in one.filled_with if not fill.hazard_wording}
        return tuple(sorted(names))


def packing_page(number: str, *, now: datetime, hours: StudioHours, home: str = "GB") -> PackingPage:
    """One order on the packing table, and which is next; posted from the country `home`.

    Forty queries at most, however many pieces.

    Raises: NoSuchOrder.
    """
    order = find_order(number)
    lines = _lines_of(order)
    states = list(line_states(lines, now=now).values())
    ready = [(one, piece) for state in states for one, piece in state.kept if piece.is_ready]
    pieces = [piece for _, piece in ready]
    boxed = [piece for one, piece in ready if one.is_boxed]
    today = localdate(now)
    return PackingPage(
        order_id=order.pk,
        number=order.number,
        who=order.customer.name if order.customer else "market day",
        address=order.customer.address if order.customer else "",
        is_market=order.customer_id is None,
        leaves=leaves_words(order.ship_by, today),
        gift_message=order.gift_message,
        note=order.note,
        rows=tuple(
            PackRow(piece.mark, piece.article, piece.colour, piece.colour_hex, piece.silhouette, one.is_boxed)
            for one, piece in ready
        ),
        left=sum(state.left for state in states),
        waiting=_waiting(states, now),
        follows=follows_words(states, now=now),
        packaging=_packaging_words(lines, boxed or pieces),
        suggested=_packaging(lines, boxed or pieces),
        weighs_mg=_sum_or_none(piece_weights(piece.id for piece in (boxed or pieces))),
        window=laid_out(order.customer.name, order.customer.address, home=home)
        if order.customer
        else PostalAddress((), home),
        in_it=_in_it(pieces),
        care=tuple(care_facts(piece.id for piece in (boxed or pieces))),
        next_to_pack=_next_to_pack(order.number, now, hours),
    )


def follows_words(states: Sequence[LineState], *, now: datetime) -> str:
    """The day the rest of a part parcel can follow, "Thu 15", or "" while nobody knows."""
    at = ready_at(states)
    return near_day(localdate(at), localdate(now)) if at and at > now else ""


def _lines_of(order: Order) -> list[OrderLine]:
    return list(
        OrderLine.objects.filter(order=order)
        .select_related("order", "article__packaging", "colour")
        .order_by("id")
    )


def _waiting(states: Sequence[LineState], now: datetime) -> str:
    """What of the order cannot be packed yet, and when it can."""
    count = sum(state.left - state.ready for state in states)
    if count == 0:
        return ""
    is_are = "is" if count == 1 else "are"
    at = ready_at(states)
    when = f", ready {day_clock(at, now)}" if at and at > now else ""
    return f"{counted(count, 'piece')} {is_are} not ready{when}."


def _packaging_words(lines: Sequence[OrderLine], pieces: Sequence[PieceHere]) -> str:
    """What shipping these pieces takes off the stores: "2 pcs of Post box, medium"."""
    article_of = {line.article_id: line.article for line in lines}
    amounts: Counter[tuple[str, str]] = Counter()
    for piece in pieces:
        article = article_of.get(piece.article_id)
        if article and article.packaging and article.packaging_each:
            amounts[article.packaging.name, article.packaging.unit] += article.packaging_each
    return listed([f"{in_words(amount, unit)} of {name}" for (name, unit), amount in sorted(amounts.items())])


def _packaging(lines: Sequence[OrderLine], pieces: Sequence[PieceHere]) -> Counter[int]:
    """What the articles say these pieces are packed in, by material (thousandths)."""
    article_of = {line.article_id: line.article for line in lines}
    amounts: Counter[int] = Counter()
    for piece in pieces:
        article = article_of.get(piece.article_id)
        if article and article.packaging_id and article.packaging_each:
            amounts[article.packaging_id] += article.packaging_each
    return amounts


def _sum_or_none(weights: Mapping[int, int | None]) -> int | None:
    """The sum of all weights, None where one is not known or there are none."""
    known = [mass for mass in weights.values() if mass is not None]
    return sum(known) if known and len(known) == len(weights) else None


def _in_it(pieces: Sequence[PieceHere]) -> tuple[InIt, ...]:
    """Pieces by their mixes, with the lots of what those mixes hold most of: the powder."""
    by_mixes: dict[tuple[int, ...], list[str]] = defaultdict(list)
    for piece in pieces:
        by_mixes[piece.mix_numbers].append(piece.mark)
    lots: dict[int, list[str]] = {}
    for mix in traced_mixes(sorted({number for numbers in by_mixes for number in numbers})):
        powder = mix.made_from[0].material if mix.made_from else ""
        lots[mix.number] = [source.lot for source in mix.made_from if source.material == powder]
    return tuple(
        InIt(
            marks=", ".join(marks),
            mixes=", ".join(map(str, numbers)),
            lots=", ".join(dict.fromkeys(lot for number in numbers for lot in lots.get(number, ()))),
        )
        for numbers, marks in sorted(by_mixes.items())
    )


def _next_to_pack(number: str, now: datetime, hours: StudioHours) -> str:
    rows = [row for day in open_orders(now=now, hours=hours).days for row in day.rows]
    waiting = next((row for row in rows if row.can_pack and row.number != number), None)
    return waiting.number if waiting else ""
