"""Days in files, and cells as refusals say them."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.arithmetic.cells import CellNotRead, day_order, read_day, shorten

DAY_FIRST = day_order(["13/10/2026"])
MONTH_FIRST = day_order(["10/13/2026"])
OCTOBER_12 = date(2026, 10, 12)


@pytest.mark.parametrize(
    "text",
    ["2026-10-12", "2026-10-12T09:30:00Z", "12/10/2026", "12.10.26", "12-10-2026 09:30", "12 Oct 2026"],
)
def test_the_same_day_in_many_spellings(text):
    """Year-month-day by ISO 8601-1:2019; the others are common practice, no source."""
    assert read_day(text, DAY_FIRST) == OCTOBER_12


def test_month_first_where_the_file_says_so():
    assert read_day("10/12/2026", MONTH_FIRST) == OCTOBER_12


@pytest.mark.parametrize(
    ("texts", "day_first", "is_sure", "is_used"),
    [
        (["13/10/2026", "1/2/2026"], True, True, True),
        (["10/13/2026", "1/2/2026"], False, True, True),
        (["1/2/2026"], True, False, True),
        (["13/10/2026", "10/13/2026"], True, False, True),
        (["2026-10-12", ""], True, False, False),
    ],
)
def test_the_file_itself_tells_which_figure_is_the_day(texts, day_first, is_sure, is_used):
    found = day_order(texts)

    assert (found.day_first, found.is_sure, found.is_used) == (day_first, is_sure, is_used)


@pytest.mark.parametrize("text", ["soon", "31/6/2026", "2026-13-01", "32 Oct 2026", "12 Okt 2026", "12"])
def test_what_is_no_day_is_said_with_its_text(text):
    with pytest.raises(CellNotRead, match=f'"{text}" is not a day'):
        read_day(text, DAY_FIRST)


def test_long_cells_are_cut_in_sentences():
    assert shorten("a " * 60) == "a a a a a a a a a a a a a a a a a a a..."
