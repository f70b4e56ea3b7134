"""Labels as scanners read them.

Source: GS1 General Specifications (application identifiers, separator, two-digit years), as described in the
documentation of three barcode libraries; the strings are made here.
"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.scanned import ScannedLabel, read_label

GTIN = "0109521234543213"
READ = [
    (f"{GTIN}1728093010QC-2608", "QC-2608", date(2028, 9, 30)),
    (f"]C1{GTIN}10QC-2608\x1d15280900", "QC-2608", date(2028, 9, 30)),
    (f"\x1d{GTIN}10QC-2608\x1d21SER1\x1d17280229", "QC-2608", date(2028, 2, 29)),
    ("(01)09521234543213(17)280930(10)QC-2608", "QC-2608", date(2028, 9, 30)),
    (f"{GTIN}152809011728093010A", "A", date(2028, 9, 1)),
    (f"{GTIN}17991231", "", date(1999, 12, 31)),
    (f"{GTIN}17761231", "", date(2076, 12, 31)),
    (f"{GTIN}10A", "A", None),
]


@pytest.mark.parametrize(("text", "lot", "best_before"), READ)
def test_reads_lot_and_day_off_a_label(text, lot, best_before) -> None:
    assert read_label(text, this_year=2026) == ScannedLabel(lot, best_before)


@pytest.mark.parametrize(
    "text", ["QC-2608", "10-77", "1026", "(10)", "0109521234543213", "01", "10ABC", "", "=1+1", f"{GTIN}99X"]
)
def test_anything_else_is_the_lot_number_itself(text) -> None:
    read = read_label(text, this_year=2026)

    assert read.best_before is None
    assert read.lot in (text, "")
    if not text.startswith("01095212345432131") and text != "0109521234543213":
        assert read.lot == text


@pytest.mark.parametrize("day", ["281301", "280231", "280001"])
def test_a_day_that_is_none_is_left_out(day) -> None:
    assert read_label(f"{GTIN}17{day}10A", this_year=2026) == ScannedLabel("A", None)


@given(st.text(max_size=60))
def test_no_text_is_refused(text) -> None:
    read_label(text, this_year=2026)
