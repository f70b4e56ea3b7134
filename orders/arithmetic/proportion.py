"""How sure a share is that was counted on a few."""

from __future__ import annotations

from math import sqrt

Z_95 = 1.959964


def wilson(count: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a proportion, from 0 to 1; nothing counted leaves all open.

    Source: E. B. Wilson's score interval, method 3 of Newcombe, Statistics in Medicine 17 (1998) 857-872.
    """
    if of == 0:
        return 0.0, 1.0
    share, square = count / of, Z_95**2
    middle = (share + square / (2 * of)) / (1 + square / of)
    half = Z_95 / (1 + square / of) * sqrt(share * (1 - share) / of + square / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)
