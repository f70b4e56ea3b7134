"""Share whole numbers out exactly: a draw from a tub that holds several lots, a cost over several pieces."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from fractions import Fraction
from typing import TypeVar

from inventory.errors import StudioError

Key = TypeVar("Key", bound=Hashable)


class DrawAboveHolding(StudioError):
    """More is to be drawn than all lots together hold; `.facts` has `amount` and `held` in thousandths."""


def draw_in_proportion(holdings: Sequence[tuple[Key, int]], amount: int) -> list[tuple[Key, int]]:
    """Part a draw over the lots of one tub in proportion to what each holds (a stirred tub).

    Parameters: `holdings` as (lot, amount held) and `amount`, all in thousandths of the base unit. The parts
    add up to `amount` exactly and none is above what its lot holds. Ties go to the lot named first. Lots that
    give nothing are left out, since the ledger keeps only entries above zero.

    Raises: DrawAboveHolding; ValueError for a negative amount or holding.

    Source: largest remainder method (Hamilton), common practice, no source.

    >>> draw_in_proportion([("A", 500), ("B", 300), ("C", 200)], 11)
    [('A', 6), ('B', 3), ('C', 2)]
    """
    held = sum(holding for _, holding in holdings)
    if amount < 0 or any(holding < 0 for _, holding in holdings):
        raise ValueError("amounts and holdings are zero or more")
    if amount > held:
        raise DrawAboveHolding(
            "The draw is more than is there. Draw less, or take another tub.", amount=amount, held=held
        )
    if amount == 0:
        return []
    parts = share_out(amount, [holding for _, holding in holdings])
    return [(key, part) for (key, _), part in zip(holdings, parts, strict=True) if part]


def share_out(whole: int, weights: Sequence[int | Fraction]) -> list[int]:
    """Part a whole number by `weights` so that the parts add up to it exactly (largest remainder).

    Each part is its exact share rounded down or up; ties go to the earlier weight. A negative whole is parted
    like its positive twin.

    Raises: ValueError when there is something to share and no weight above zero, or a weight below zero.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("weights are zero or more")
    total = Fraction(sum(weights))
    if total == 0:
        if whole:
            raise ValueError("nothing to share by: every weight is zero")
        return [0] * len(weights)
    sign = -1 if whole < 0 else 1
    exact = [Fraction(abs(whole)) * weight / total for weight in weights]
    parts = [share.numerator // share.denominator for share in exact]
    left = abs(whole) - sum(parts)
    by_remainder = sorted(range(len(parts)), key=lambda index: (parts[index] - exact[index], index))
    for index in by_remainder[:left]:
        parts[index] += 1
    return [sign * part for part in parts]
