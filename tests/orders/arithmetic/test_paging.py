"""Rows of a packing slip over pages."""

from __future__ import annotations

import pytest

from orders.arithmetic.paging import SIZES, SlipLine, slip_pages


def line(count=1, name="Ferry tray"):
    return SlipLine(count, name, "Rust", tuple(f"M{number}" for number in range(count)))


def pages(lines, gift="", size="a5"):
    return slip_pages(lines, gift, SIZES[size])


@pytest.mark.parametrize(("size", "most"), [("a5", 8), ("l46", 6)])
def test_so_many_lines_stand_on_one_page_and_one_more_makes_two(size, most):
    assert len(pages([line()] * most, size=size)) == 1
    first, last = pages([line()] * (most + 1), size=size)

    assert (len(first.lines), len(last.lines)) == (most, 1)
    assert [(page.number, page.of, page.is_last) for page in (first, last)] == [(1, 2, False), (2, 2, True)]


def test_a_line_with_many_marks_takes_the_room_of_several():
    assert len(pages([line(12)] * 4)) == 1
    assert len(pages([line(12)] * 5)) == 2


def test_a_line_too_tall_for_a_page_becomes_several_and_loses_no_mark():
    found = pages([line(100)])

    rows = [row for page in found for row in page.lines]
    assert sum(row.quantity for row in rows) == 100
    assert [mark for row in rows for mark in row.marks] == [f"M{number}" for number in range(100)]


def test_a_long_gift_message_under_a_full_page_gets_its_own():
    assert len(pages([line()] * 8, gift="x" * 100)) == 1
    assert [len(page.lines) for page in pages([line()] * 8, gift="x" * 400)] == [8, 0]


def test_an_empty_parcel_still_has_a_page():
    assert len(pages([])) == 1
