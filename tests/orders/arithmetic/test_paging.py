"""Rows of a packing slip over pages."""

from __future__ import annotations

import pytest

from orders.arithmetic.paging import SIZES, SlipLine, slip_pages


def line(count=1, name="Ferry tray"):
    return SlipLine(count, name, "Rust", tuple(f"M{number}" for number in range(count)))


def pages(lines, gift="", size="a5"):
    return slip_pages(lines, gift, SIZES[size])


ADDRESS = ("Curlew Sands", "3 Invented Row", "NOWHERE", "LS1 1AA")


@pytest.mark.parametrize(("size", "most"), [("a5", 6), ("l46", 3)])
def test_under_an_address_so_many_lines_stand_on_one_page_and_the_next_goes_over(size, most):
    first, *_ = slip_pages([line()] * 20, "", SIZES[size], address=ADDRESS)

    assert len(first.lines) == most


def test_pages_are_numbered_and_the_last_is_known():
    found = pages([line()] * 12)

    assert [(page.number, page.of, page.is_last) for page in found] == [(1, 2, False), (2, 2, True)]


def test_an_address_of_six_lines_and_more_mixes_take_their_room():
    six = (*ADDRESS, "c/o Heron and Sons, chandlers to the whole of the estuary", "IRELAND")
    many = SlipLine(3, "Ferry tray", "Rust", ("2QNG6C", "FF54K3", "P25SSY"), (60_552, 60_553, 60_554, 60_555))

    fewer = [
        len(slip_pages([row] * 20, "", SIZES["l46"], address=address)[0].lines)
        for row, address in ((line(), ADDRESS), (line(), six), (many, ADDRESS))
    ]

    assert fewer[0] > fewer[1] and fewer[0] > fewer[2] > 0


def test_a_line_with_many_marks_takes_the_room_of_several():
    assert len(pages([line(12)] * 4)) < len(pages([line(60)] * 4))


def test_a_part_of_a_row_names_the_mixes_of_its_own_marks():
    marks = tuple(f"MARK{number:03}" for number in range(90))
    row = SlipLine(
        90, "Ferry tray", "Rust", marks, tuple(range(90)), tuple((number,) for number in range(90))
    )

    parts = [part for page in pages([row]) for part in page.lines]

    assert len(parts) > 1
    assert all(part.mixes == tuple(int(mark[4:]) for mark in part.marks) for part in parts)


def test_a_line_too_tall_for_a_page_becomes_several_and_loses_no_mark():
    found = pages([line(100)])

    rows = [row for page in found for row in page.lines]
    assert sum(row.quantity for row in rows) == 100
    assert [mark for row in rows for mark in row.marks] == [f"M{number}" for number in range(100)]


def test_a_long_gift_message_under_a_full_page_takes_the_last_row_along():
    full = len(pages([line()] * 40)[0].lines)

    assert len(pages([line()] * (full - 1))) == 1
    assert [len(page.lines) for page in pages([line()] * full, gift="x " * 200)] == [full - 1, 1]


def test_an_empty_parcel_still_has_a_page():
    assert len(pages([])) == 1
