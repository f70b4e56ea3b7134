"""What materials cost when they are used: oldest lot first, exact until the last rounding."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.errors import StudioError

# Thousandths in a kilogram, a litre or a thousand pieces.
PER_KILOGRAM = 1_000_000


class UsedMoreThanReceived(StudioError):
    """More was used than ever came in; facts `used`, `received` in thousandths."""


@dataclass(frozen=True)
class ReceivedLot:
    """One lot as bought: amount in thousandths of the base unit, price paid for all of it in minor units."""

    amount: int
    price_minor: int


@dataclass(frozen=True)
class FifoCost:
    """The cost of what was used and of what is left.

    `used_minor` and `left_minor` are whole minor units and add up to what was paid; `used_exact` is the cost
    before rounding.
    """

    used_exact: Fraction
    used_minor: int
    left_amount: int
    left_minor: int


def fifo_cost(receipts: Sequence[ReceivedLot], amount: int) -> FifoCost:
    """Give the cost of using `amount`, the oldest of `receipts` first (they come oldest first).

    Exact fractions until the end, then half to even; what the rounding takes from the cost stays with what is
    left, so that used + left = paid to the last minor unit.

    Raises: UsedMoreThanReceived; ValueError for a negative amount or an empty lot.

    Source: first-in-first-out, Accounting Principles: A Business Perspective (open textbook), ch. 7.
    """
    return fifo_costs(receipts, [amount])[-1]


def fifo_costs(receipts: Sequence[ReceivedLot], uses: Sequence[int]) -> list[FifoCost]:
    """Give the cost of several uses one after the other, each with what is left after it.

    The whole minor units of all uses and the last `left_minor` add up to what was paid: each use is charged
    the rounded running total less what was charged before it. Parameters and errors as in `fifo_cost`.
    """
    if any(use < 0 for use in uses) or any(lot.amount <= 0 or lot.price_minor < 0 for lot in receipts):
        raise ValueError("uses and prices are zero or more, lots hold something")
    received = sum(lot.amount for lot in receipts)
    paid = sum(lot.price_minor for lot in receipts)
    costs: list[FifoCost] = []
    used, charged, exact_before = 0, 0, Fraction(0)
    for use in uses:
        used += use
        if used > received:
            raise UsedMoreThanReceived(
                "More was used than came in. Take in the missing delivery.", used=used, received=received
            )
        exact = _cost_of_first(receipts, used)
        cost_minor = round(exact) - charged
        charged += cost_minor
        costs.append(FifoCost(exact - exact_before, cost_minor, received - used, paid - charged))
        exact_before = exact
    return costs


def _cost_of_first(receipts: Sequence[ReceivedLot], amount: int) -> Fraction:
    """Give the exact cost of the first `amount` that came in."""
    cost = Fraction(0)
    for lot in receipts:
        part = min(amount, lot.amount)
        cost += lot_cost(lot, part)
        amount -= part
    return cost


def lot_cost(lot: ReceivedLot, amount: int) -> Fraction:
    """Give the exact cost of `amount` out of one lot, in minor units: its part of the price paid."""
    return Fraction(lot.price_minor * amount, lot.amount)


@dataclass(frozen=True)
class LeftOfLot:
    """What is reckoned as left of one lot: its place in the list given, thousandths, and minor units."""

    place: int
    amount: int
    worth_minor: int


def left_by_lot(newest_first: Iterable[ReceivedLot], held: int) -> tuple[list[LeftOfLot], int]:
    """Give which lots what is held is reckoned to come from, when the oldest always went first.

    Parameters: lots from the newest back, read only as far as needed; `held` in thousandths. Answers the
    lots from the newest on, and what of `held` no lot accounts for (a count that found more), worth nothing.
    What is rounded in the oldest of them stays with what was used of it, as in `fifo_cost`: used + left =
    paid to the last minor unit.

    Source: as `fifo_cost`.
    """
    if held < 0:
        raise ValueError("what is held is zero or more")
    left: list[LeftOfLot] = []
    for place, lot in enumerate(newest_first):
        if held == 0:
            break
        amount = min(held, lot.amount)
        used = fifo_cost([lot], lot.amount - amount)
        left.append(LeftOfLot(place, amount, used.left_minor))
        held -= amount
    return left, held


def mean_price(lots: Sequence[ReceivedLot]) -> Fraction:
    """Give the weighted average of what was paid, in minor units for a thousand base units (a kilogram).

    Source: weighted average, periodic: all that was paid over all that came in; data of the textbook named
    in `fifo_cost`. Raises: ValueError for no lots.
    """
    received = sum(lot.amount for lot in lots)
    if received <= 0:
        raise ValueError("nothing came in")
    return Fraction(sum(lot.price_minor for lot in lots) * PER_KILOGRAM, received)


@dataclass(frozen=True)
class Layer:
    """So much of one lot (thousandths), and the exact price of each thousandth in minor units."""

    amount: int
    each: Fraction


def next_cost(layers: Sequence[Layer], amount: Fraction) -> Fraction:
    """Give what the next `amount` (thousandths) costs, exact, the oldest of what is left first.

    `layers` are what first in, first out leaves, the oldest first. What goes beyond them costs as much as the
    last of them.

    Source: as `fifo_cost`. Raises: ValueError when nothing says a price.
    """
    if not layers:
        raise ValueError("no lot says a price")
    cost = Fraction(0)
    for layer in layers:
        part = min(amount, Fraction(layer.amount))
        cost += part * layer.each
        amount -= part
    return cost + amount * layers[-1].each
