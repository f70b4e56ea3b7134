"""Writing CSV that a spreadsheet opens without running anything in it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def safe_cell(value: object) -> str:
    """Give a cell as text; one that a spreadsheet would take for a formula gets an apostrophe before it.

    Source: common practice, no source.
    """
    text = str(value)
    return f"'{text}" if text.startswith(_BEGINS_A_FORMULA) else text


def csv_text(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a heading row and rows as CSV with CRLF line ends and every cell safe.

    Source: RFC 4180, 2005, section 2.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([safe_cell(heading) for heading in headings])
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()
