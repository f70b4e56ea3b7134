"""CSV that a spreadsheet opens without running anything in it: every CSV of the studio is written here."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def safe_cell(value: object) -> str:
    """Give a cell as text; one that a spreadsheet would take for a formula gets an apostrophe before it.

    A number is a number, below zero too; nothing is an empty cell.

    Source: common practice, no source.
    """
    if value is None:
        return ""
    text = str(value)
    if isinstance(value, int | float | Decimal):
        return text
    return f"'{text}" if text.startswith(_BEGINS_A_FORMULA) else text


def csv_text(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a heading row and rows as CSV with CRLF line ends and every cell safe.

    Source: RFC 4180, 2005, section 2.
    """
    return "".join(csv_lines([headings, *rows]))


def csv_lines(rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """The same row by row, for a file too long to be held at once; headings are a row like others."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([safe_cell(cell) for cell in row])
        yield out.getvalue()
        out.seek(0)
        out.truncate()
