"""The interval of a counted share."""

from __future__ import annotations

import pytest

from orders.arithmetic.proportion import wilson


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_published_intervals_come_out(count, of, low, high):
    """Source: R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3."""
    assert wilson(count, of) == pytest.approx((low, high), abs=6e-5)


def test_nothing_counted_says_nothing():
    assert wilson(0, 0) == (0.0, 1.0)
