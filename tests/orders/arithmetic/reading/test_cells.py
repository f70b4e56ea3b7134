"""Counts in order files."""

from __future__ import annotations

import pytest

from inventory.arithmetic.cells import CellNotRead
from orders.arithmetic.reading.cells import read_quantity


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
