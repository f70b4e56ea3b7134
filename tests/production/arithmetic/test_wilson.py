"""Shares with the range they may lie in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, norm

from production.arithmetic.wilson import Z_95, share_of


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_published_intervals(count: int, of: int, low: float, high: float) -> None:
    """Source: Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (from memory)."""
    share = share_of(count, of)

    assert (share.low, share.high) == (pytest.approx(low, abs=6e-5), pytest.approx(high, abs=6e-5))


@given(st.integers(1, 2000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_any_share_agrees_with_the_reference_library(counted: tuple[int, int]) -> None:
    """Source: `scipy.stats.binomtest(...).proportion_ci(method="wilson")`."""
    share = share_of(*counted)
    reference = binomtest(*counted).proportion_ci(method="wilson")

    assert share.low == pytest.approx(reference.low, abs=1e-9)
    assert share.high == pytest.approx(reference.high, abs=1e-9)
    assert share.low <= share.part <= share.high


def test_the_normal_quantile() -> None:
    """Source: `scipy.stats.norm.ppf`."""
    assert pytest.approx(norm.ppf(0.975), abs=1e-12) == Z_95


def test_two_shares_differ_only_when_their_ranges_do_not_meet() -> None:
    """Worked here: 9 of 20 is 25.8 to 65.8 %, 4 of 96 is 1.6 to 10.2 %, 1 of 3 is 6.1 to 79.2 %."""
    assert share_of(9, 20).is_above(share_of(4, 96))
    assert not share_of(1, 3).is_above(share_of(4, 96))


@pytest.mark.parametrize(("count", "of"), [(0, 0), (3, 2), (-1, 5)])
def test_a_share_of_nothing_or_more_than_all_is_a_fault_of_the_caller(count: int, of: int) -> None:
    with pytest.raises(ValueError, match="a share"):
        share_of(count, of)
