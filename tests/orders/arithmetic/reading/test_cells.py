"""Counts in order files."""

from __future__ import annotations

import pytest

from inventory.arithmetic.cells import CellNotRead
from orders.arithmetic.reading.cells import read_late_weight, read_quantity, read_yes_no


@pytest.mark.parametrize(("text", "count"), [("2", 2), (" 12 ", 12), ("3.0", 3), ("3,00", 3), ("999", 999)])
def test_counts(text, count):
    assert read_quantity(text) == count


@pytest.mark.parametrize("text", ["", "two", "1.5", "-1", "1e3", "2 pcs", "٣"])
def test_what_is_no_count_is_refused(text):
    with pytest.raises(CellNotRead, match="not a whole number"):
        read_quantity(text)


@pytest.mark.parametrize("text", ["0", "1000", "999999999"])
def test_counts_out_of_bounds_say_the_bounds(text):
    with pytest.raises(CellNotRead, match="not from 1 to 999"):
        read_quantity(text)


@pytest.mark.parametrize(
    ("text", "do"), [("yes", True), ("Y", True), ("1", True), ("no", False), (" FALSE ", False)]
)
def test_yes_and_no(text, do):
    assert read_yes_no(text) is do


@pytest.mark.parametrize(
    ("text", "weight"), [("as usual", 1), ("counts twice", 2), ("2", 2), ("Four  times", 4)]
)
def test_how_much_lateness_counts(text, weight):
    assert read_late_weight(text) == weight


@pytest.mark.parametrize("text", ["3", "often", "-2"])
def test_lateness_that_counts_otherwise_is_refused(text):
    with pytest.raises(CellNotRead, match="not as usual, twice or four times"):
        read_late_weight(text)
