"""One parcel as its papers need it: the open box of an order, or one that left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Sum
from django.utils.timezone import localdate

from orders.arithmetic.paging import SlipLine
from orders.arithmetic.postal import PostalAddress, laid_out
from orders.models import Order, OrderLine, Parcel, ParcelPiece, Return
from orders.queries.line_states import line_states
from orders.queries.packing_page import follows_words
from orders.queries.wording import counted
from production.queries.care import CareFacts, care_facts


@dataclass(frozen=True)
class PaperParcel:
    """What is in the parcel and for whom; `count` is the sentence under the rows."""

    number: str
    who: str
    window: PostalAddress
    is_market: bool
    ordered_on: date
    packed_on: date
    gift_message: str
    lines: tuple[SlipLine, ...]
    count: str
    follows: tuple[str, ...]
    care: tuple[CareFacts, ...]


def parcel_for_paper(order: Order, which: str, *, now: datetime, home: str) -> PaperParcel:
    """The parcel of an order with the number `which`; without one, its open box.

    Of the open box, what is ticked; before the first tick, what is ready. Posted from the country `home`.
    Eighteen queries at most.
    """
    parcels = list(Parcel.objects.filter(order=order).order_by("number"))
    parcel = next((one for one in parcels if str(one.number) == which), None)
    if parcel is None:
        left_open = next((one for one in parcels if one.shipped_at is None), None)
        parcel = left_open or (parcels[-1] if order.closed_at and parcels else None)
    boxed = list(ParcelPiece.objects.filter(parcel__order=order).values_list("parcel__number", "piece"))
    # What came back and was freed has left its place in the box; the paper still says what was sent.
    boxed += Return.objects.filter(parcel__order=order, is_free=True).values_list("parcel__number", "piece")
    ids = [piece for number, piece in boxed if parcel and number == parcel.number]
    before = [piece for number, piece in boxed if parcel is None or number < parcel.number]
    lines = list(OrderLine.objects.filter(order=order).select_related("order", "article", "colour"))
    follows = ""
    if parcel is None or parcel.shipped_at is None:
        states = list(line_states(lines, now=now).values())
        ids = ids or [piece.id for state in states for _, piece in state.kept if piece.is_ready]
        follows = follows_words(states, now=now)
    care = tuple(care_facts(ids))
    # Of an order called off nothing follows any more: its last parcel ends it.
    wanted = (
        len(boxed)
        if order.called_off
        else OrderLine.objects.filter(order=order).aggregate(all=Sum("quantity"))["all"] or 0
    )
    packed = parcel.packed_at if parcel and parcel.packed_at else now
    return PaperParcel(
        number=order.number,
        who=order.customer.name if order.customer else order.number,
        window=laid_out(order.customer.name, order.customer.address, home=home)
        if order.customer
        else PostalAddress((), home),
        is_market=order.customer_id is None,
        ordered_on=order.ordered_on,
        packed_on=localdate(packed),
        gift_message=order.gift_message,
        lines=_slip_lines(care),
        count=count_words(len(ids), before=len(before), wanted=wanted, follows=follows),
        follows=() if order.called_off else _follows(lines, care, before),
        care=care,
    )


def count_words(here: int, *, before: int, wanted: int, follows: str) -> str:
    """How many pieces are in a parcel: all, the last ones, or some with the rest to follow."""
    rest = wanted - before - here
    if rest <= 0:
        if before == 0:
            return f"{counted(here, 'piece')}, all here."
        return f"The last {here} of {wanted} pieces. {before} came before."
    when = f"about {follows}" if follows else "later"
    said = "The last follows" if rest == 1 else f"The other {rest} follow"
    return f"{here} of {wanted} pieces. {said} {when}."


def _follows(lines: Sequence[OrderLine], here: Sequence[CareFacts], before: Sequence[int]) -> tuple[str, ...]:
    """What of the lines is neither here nor came before: "2 Ferry tray, Rust". One query."""
    gone = Counter((one.article, one.colour) for one in [*here, *care_facts(before)])
    rest = {
        (line.article.name, line.colour.name): line.quantity - gone[line.article.name, line.colour.name]
        for line in lines
    }
    return tuple(f"{count} {article}, {colour}" for (article, colour), count in rest.items() if count > 0)


def _slip_lines(care: tuple[CareFacts, ...]) -> tuple[SlipLine, ...]:
    found: dict[tuple[str, str], list[CareFacts]] = {}
    for one in care:
        found.setdefault((one.article, one.colour), []).append(one)
    return tuple(
        SlipLine(
            quantity=len(pieces),
            article=article,
            colour=colour,
            marks=tuple(one.mark for one in pieces),
            mixes=tuple(sorted({number for one in pieces for number in one.mixes})),
            mixes_of=tuple(one.mixes for one in pieces),
        )
        for (article, colour), pieces in found.items()
    )
