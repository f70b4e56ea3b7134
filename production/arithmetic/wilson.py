"""How sure a share is that few castings tell."""

from __future__ import annotations

import math
from dataclasses import dataclass

# Two-sided 95 % of the normal distribution.
Z_95 = 1.959963984540054


@dataclass(frozen=True)
class Share:
    """`count` of `of`, and the range in which the true share lies with 95 %: parts from 0 to 1."""

    count: int
    of: int
    low: float
    high: float

    @property
    def part(self) -> float:
        """The share seen."""
        return self.count / self.of

    def is_above(self, other: Share) -> bool:
        """Whether even the low end is over the other's high end."""
        return self.low > other.high


def share_of(count: int, of: int) -> Share:
    """Give the share `count` of `of` with its Wilson score interval, without continuity correction.

    It holds its 95 % for small counts too, and for none and for all of them.

    Raises: ValueError when nothing was counted, or more than there is.

    Source: Newcombe, Statistics in Medicine 17 (1998) 857-872, method 3; Wilson, JASA 22 (1927) 209-212.
    """
    if not 0 <= count <= of or of == 0:
        raise ValueError("a share is of something, and no more than all of it")
    part, z2 = count / of, Z_95**2
    middle = (part + z2 / (2 * of)) / (1 + z2 / of)
    half = Z_95 / (1 + z2 / of) * math.sqrt(part * (1 - part) / of + z2 / (4 * of**2))
    # At none and at all of them the ends are exact, whatever the rounding.
    low = 0.0 if count == 0 else max(0.0, middle - half)
    high = 1.0 if count == of else min(1.0, middle + half)
    return Share(count, of, low, high)
