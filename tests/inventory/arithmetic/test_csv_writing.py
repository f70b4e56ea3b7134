"""CSV that is safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io

import pytest

from inventory.arithmetic.csv_writing import csv_lines, csv_text, safe_cell


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_what_a_spreadsheet_takes_for_a_formula_is_made_plain_text(start):
    """Common practice, no source."""
    assert safe_cell(f"{start}cmd()") == f"'{start}cmd()"


@pytest.mark.parametrize("text", ["1041", "Sandpiper Low", "a=b", "", "(-1)"])
def test_other_cells_stay_as_they_are(text):
    assert safe_cell(text) == text


@pytest.mark.parametrize(("value", "cell"), [(-5, "-5"), (-0.5, "-0.5"), ("-5", "'-5"), (None, ""), (0, "0")])
def test_a_number_stays_a_number_and_nothing_is_an_empty_cell(value, cell):
    assert safe_cell(value) == cell


def test_rows_come_one_by_one_as_they_are_asked_for():
    asked = []

    def rows():
        for number in range(3):
            asked.append(number)
            yield [number, "a,b"]

    lines = csv_lines(rows())

    assert next(lines) == '0,"a,b"\r\n'
    assert asked == [0]
    assert "".join(lines) == '1,"a,b"\r\n2,"a,b"\r\n'


def test_headings_are_made_safe_too_and_line_ends_are_crlf():
    written = csv_text(["=Order", "Note"], [["1041", 'say "ebb", twice']])

    assert written == '\'=Order,Note\r\n1041,"say ""ebb"", twice"\r\n'


def test_what_is_written_is_read_back_by_the_standard_library():
    rows = [["1041", "a\r\nb"], ["1044", 'c "d"']]

    assert list(csv.reader(io.StringIO(csv_text(["Order", "Note"], rows), newline=""))) == [
        ["Order", "Note"],
        *rows,
    ]
