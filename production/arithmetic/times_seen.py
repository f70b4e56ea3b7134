"""What a handful of seen times says: the one in the middle, and the one that nine of ten keep within."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# Fewer tell nothing of the slow ones.
LEAST = 3


@dataclass(frozen=True)
class Spread:
    """`count` times; `median` and `ninetieth` (the 90th percentile) in their unit."""

    count: int
    median: float
    ninetieth: float

    @property
    def is_enough(self) -> bool:
        """Whether there are enough of them to reckon with."""
        return self.count >= LEAST


def percentile(values: Sequence[float], part: float) -> float:
    """Give the value below which `part` (0 to 1) of them lie, between two of them by a straight line.

    Raises: ValueError for no values, or a part that is none.

    Source: Hyndman and Fan, The American Statistician 50 (1996) 361-365, definition 7.
    """
    if not values or not 0 <= part <= 1:
        raise ValueError("a percentile is of some values, from 0 to 1")
    ordered = sorted(values)
    place = part * (len(ordered) - 1)
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


def spread_of(values: Sequence[float]) -> Spread | None:
    """Give what the values say, None without any."""
    if not values:
        return None
    return Spread(len(values), percentile(values, 0.5), percentile(values, 0.9))
