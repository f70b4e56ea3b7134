"""Which lot or container to take first: first expired, first out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from inventory.arithmetic.drawing import DrawAboveHolding

Thing = TypeVar("Thing")


@dataclass(frozen=True)
class Freshness:
    """What decides the turn of one lot or container.

    `is_opened` a tub that was opened before; `best_before` the day it keeps to, None when it keeps;
    `received_on` the day it came, None when not known; `code` settles what is left equal.
    """

    is_opened: bool = False
    best_before: date | None = None
    received_on: date | None = None
    code: str = ""


def first_expired_first_out(things: Iterable[Thing], freshness: Callable[[Thing], Freshness]) -> list[Thing]:
    """Give `things` in the order they should be used.

    Opened before unopened, then the earliest best-before (none last), then the earliest receipt (none last),
    then the code, so that the order never depends on chance.

    Source: first-expired-first-out as defined in stores practice: by expiry, then by receipt.
    """
    return sorted(things, key=lambda thing: _turn(freshness(thing)))


def _turn(fresh: Freshness) -> tuple[bool, date, date, str]:
    return (
        not fresh.is_opened,
        fresh.best_before or date.max,
        fresh.received_on or date.max,
        fresh.code,
    )


def take_in_order(holdings: Iterable[tuple[Thing, int]], amount: int) -> list[tuple[Thing, int]]:
    """Take `amount` from `holdings` in the order given, each to its end before the next is touched.

    Amounts in thousandths of the base unit. Parts of zero are left out; the parts add up to `amount`.

    Raises: DrawAboveHolding when all together hold less.
    """
    left = amount
    taken: list[tuple[Thing, int]] = []
    for thing, held in holdings:
        part = min(left, held)
        if part > 0:
            taken.append((thing, part))
            left -= part
    if left > 0:
        raise DrawAboveHolding(
            "The draw is more than is there. Draw less, or take another tub.",
            amount=amount,
            held=amount - left,
        )
    return taken
