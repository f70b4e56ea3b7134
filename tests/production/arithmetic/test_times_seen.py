"""Median and 90th percentile of what was seen."""

from __future__ import annotations

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.arithmetic.times_seen import Spread, percentile, spread_of


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=40), st.sampled_from([0.0, 0.1, 0.5, 0.9, 1.0]))
def test_any_percentile_agrees_with_the_reference_library(values: list[float], part: float) -> None:
    """Source: `numpy.percentile`, method linear (Hyndman and Fan 1996, definition 7)."""
    assert percentile(values, part) == pytest.approx(numpy.percentile(values, 100 * part), rel=1e-9, abs=1e-9)


def test_ten_openings_give_the_middle_and_what_nine_of_ten_keep_within() -> None:
    """Worked here: of 90, 91, ... 99 the middle is 94.5, and 90 % of nine steps is 8.1 steps: 98.1."""
    spread = spread_of([float(minutes) for minutes in range(99, 89, -1)])

    assert spread == Spread(10, 94.5, pytest.approx(98.1))
    assert spread.is_enough


def test_few_times_are_told_and_are_not_enough_and_none_tell_nothing() -> None:
    two = spread_of([60, 80])

    assert two == Spread(2, 70, pytest.approx(78))
    assert not two.is_enough
    assert spread_of([]) is None


@pytest.mark.parametrize(("values", "part"), [([], 0.5), ([1.0], 1.5), ([1.0], -0.1)])
def test_a_percentile_of_nothing_is_a_fault_of_the_caller(values: list[float], part: float) -> None:
    with pytest.raises(ValueError, match="percentile"):
        percentile(values, part)
