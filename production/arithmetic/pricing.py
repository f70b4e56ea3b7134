"""Price against cost, and why what a piece really cost differs from what it should."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from production.arithmetic.costing import WholeLine, lines_by_name

PARTS_PER_MILLION = 1_000_000


def price_for_margin(cost_minor: int, margin: float) -> int:
    """Give the price that leaves `margin` (part of the price, 0 to below 1) over the cost, in minor units.

    Rounded up, so that not less is left than is wanted.

    Raises: ValueError for a margin that no price leaves, or a cost below zero.

    Source: markup on selling price, cost = price x (1 - margin) (see the tests).

    >>> price_for_margin(4500, 0.35)
    6924
    """
    if not 0 <= margin < 1 or cost_minor < 0:
        raise ValueError("a margin is a part of the price, below all of it; costs are zero or more")
    left = 1 - Fraction(round(margin * PARTS_PER_MILLION), PARTS_PER_MILLION)
    price = cost_minor / left
    return -(-price.numerator // price.denominator)


def margin_of(price_minor: int, cost_minor: int) -> float | None:
    """Give what part of the price is left over the cost, below zero when it costs more; None for no price."""
    return (price_minor - cost_minor) / price_minor if price_minor > 0 else None


@dataclass(frozen=True)
class Difference:
    """Why one cost is another than it should be, in minor units, above zero where it cost more.

    `by_amount` for more or less of it at the price it should have had, `by_price` for another price of what
    was used; together the whole difference. `was` and `should` are the lines compared, None where there is
    none.
    """

    name: str
    by_amount: int
    by_price: int
    should: WholeLine | None
    was: WholeLine | None

    @property
    def minor(self) -> int:
        """The whole difference."""
        return self.by_amount + self.by_price


def differences(should: Sequence[WholeLine], was: Sequence[WholeLine]) -> list[Difference]:
    """Compare what a piece cost with what it should have cost, line by line, the largest difference first.

    The differences add up to that of the totals. Lines are matched by name; those without one are left out.

    Source: price variance = (actual - standard price) x actual amount, quantity variance = (actual - standard
    amount) x standard price (see the tests).
    """
    planned, actual = lines_by_name(should), lines_by_name(was)
    found = []
    for name in dict.fromkeys([*planned, *actual]):
        one = _difference(name, planned.get(name), actual.get(name))
        if one.minor or one.by_amount:
            found.append(one)
    return sorted(found, key=lambda one: -abs(one.minor))


def _difference(name: str, should: WholeLine | None, was: WholeLine | None) -> Difference:
    whole = (was.minor if was else 0) - (should.minor if should else 0)
    if should is None or was is None or not should.amount or not was.amount:
        return Difference(name, whole, 0, should, was)
    by_amount = round((was.amount - should.amount) * should.minor / should.amount)
    return Difference(name, by_amount, whole - by_amount, should, was)
