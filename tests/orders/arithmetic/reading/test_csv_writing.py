"""CSV that is safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io

import pytest

from orders.arithmetic.reading.csv_writing import csv_text, safe_cell


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_what_a_spreadsheet_takes_for_a_formula_is_made_plain_text(start):
    """Common practice, no source."""
    assert safe_cell(f"{start}cmd()") == f"'{start}cmd()"


@pytest.mark.parametrize("text", ["1041", "Sandpiper Low", "a=b", "", "(-1)"])
def test_other_cells_stay_as_they_are(text):
    assert safe_cell(text) == text


def test_headings_are_made_safe_too_and_line_ends_are_crlf():
    written = csv_text(["=Order", "Note"], [["1041", 'say "ebb", twice']])

    assert written == '\'=Order,Note\r\n1041,"say ""ebb"", twice"\r\n'


def test_what_is_written_is_read_back_by_the_standard_library():
    rows = [["1041", "a\r\nb"], ["1044", 'c "d"']]

    assert list(csv.reader(io.StringIO(csv_text(["Order", "Note"], rows), newline=""))) == [
        ["Order", "Note"],
        *rows,
    ]
