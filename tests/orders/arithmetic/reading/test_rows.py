"""Rows as what they say."""

from __future__ import annotations

import pytest

from inventory.arithmetic.csv_text import read_csv
from orders.arithmetic.reading.headings import guess_columns
from orders.arithmetic.reading.rows import number_fault, read_rows


def rows(*lines, head="Order,Customer,Address,Note,Ship by,Article,Colour,How many"):
    text = read_csv("\n".join([head, *lines]))
    return read_rows(text, guess_columns(text.headings), mends={}, left_out=())


def faults(found):
    return [fault.sentence for fault in found.rows[0].faults]


def test_an_address_in_one_quoted_cell_keeps_its_lines():
    found = rows('1,Low," 3 Invented Row\r\n\r\nNowhere-on-Mud ",,2026-10-09,Tray,Rust,2')

    assert found.rows[0].address == "3 Invented Row\nNowhere-on-Mud"


def test_texts_too_long_for_their_place_are_named():
    found = rows(f"1,{'x' * 121},,{'y' * 2001},2026-10-09,Tray,Rust,2")

    assert faults(found) == ["customer is longer than 120 signs.", "note is longer than 2000 signs."]


def test_an_address_of_more_lines_than_the_window_takes_is_named():
    lines = "\n".join(str(line) for line in range(9))

    assert faults(rows(f'1,Low,"{lines}",,2026-10-09,Tray,Rust,2')) == [
        "the address has more than 8 lines, too many for the window."
    ]


def test_days_read_by_guess_are_told():
    assert not rows("1,Low,,,3/4/2026,Tray,Rust,2").days.is_sure
    assert rows("1,Low,,,13/4/2026,Tray,Rust,2").days.is_sure


@pytest.mark.parametrize("number", ["1041", "#1041", "SL-12 b", "Invented Quay 10 Oct"])
def test_numbers_that_may_be(number):
    assert number_fault(number) == ""


@pytest.mark.parametrize("number", ["a/b", "a\\b", ".", ".."])
def test_numbers_that_may_not_be(number):
    assert number_fault(number)
