"""A CSV file as rows of text: encoding, delimiter and quotes, before any of it means something.

Source: Y. Shafranovich, RFC 4180, 2005, section 2 (records, quotes doubled, spaces kept, one field count).
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from dataclasses import dataclass

from inventory.errors import FileNotRead

DELIMITERS = (",", ";", "\t")
ROWS_MOST = 5000
_LOOKED_AT = 20
# Bytes below the space that text does not have; a file with them is a picture, a workbook or a program.
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True)
class CsvRow:
    """One record below the heading row; `number` counts from 1, blank records included."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class CsvText:
    """A file taken apart. Headings are made distinct: a second "Name" reads "Name (2)"."""

    delimiter: str
    headings: tuple[str, ...]
    rows: tuple[CsvRow, ...]

    def samples(self) -> dict[str, str]:
        """What stands under each heading first; "" where a column is empty."""
        return {
            heading: next(
                (
                    row.cells[place]
                    for row in self.rows
                    if place < len(row.cells) and row.cells[place].strip()
                ),
                "",
            )
            for place, heading in enumerate(self.headings)
        }


@dataclass(frozen=True)
class DecodedText:
    """The text of a file, and the encoding it was read in."""

    text: str
    encoding: str

    @property
    def is_guessed(self) -> bool:
        """Whether the encoding is a guess that accents should be looked at for."""
        return self.encoding in ("cp1252", "latin-1")


def decode(content: bytes) -> DecodedText:
    """Turn bytes into text: by byte order mark, else UTF-8, else Windows-1252, else sign for sign.

    Raises: FileNotRead when it is no text in any of them.
    """
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        tries: tuple[str, ...] = ("utf-16",)
    else:
        tries = ("utf-8-sig", "cp1252", "latin-1")
    for encoding in tries:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not _NO_TEXT.search(text):
            return DecodedText(text, "utf-8" if encoding == "utf-8-sig" else encoding)
        break
    raise FileNotRead("This file is not text. Save the table as CSV and choose that file.", reason="not text")


def read_csv(text: str, *, rows_most: int = ROWS_MOST) -> CsvText:
    """Take a text apart into headings and rows.

    The delimiter is the comma, semicolon or tab that makes even rows of the most fields. Blank records are
    left out and counted. Spaces are kept as part of a field.

    Raises: FileNotRead when quotes do not close, there is no row below the headings, or there are too many.
    """
    delimiter = _delimiter_of(text)
    records = _records(text, delimiter)
    while records and _is_blank(records[0]):
        records.pop(0)
    if not records:
        raise FileNotRead(
            "The file is empty. Choose one with a heading row and rows under it.", reason="empty"
        )
    headings = _distinct(records[0])
    rows = tuple(
        CsvRow(number, tuple(cells))
        for number, cells in enumerate(records[1:], start=1)
        if not _is_blank(cells)
    )
    if not rows:
        raise FileNotRead(
            "The file has a heading row and nothing under it. Choose another file.", reason="no rows"
        )
    if len(rows) > rows_most:
        raise FileNotRead(
            f"The file has {len(rows):,} rows, and {rows_most:,} are read at once. Split it up.",
            reason="too many rows",
            rows=len(rows),
        )
    return CsvText(delimiter, headings, rows)


def _records(text: str, delimiter: str, most: int | None = None) -> list[list[str]]:
    """Every record of the text, or the first `most`."""
    # newline="" leaves line ends inside quotes as they are.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    records: list[list[str]] = []
    try:
        for record in reader:
            records.append(record)
            if most is not None and len(records) >= most:
                break
    except csv.Error as fault:
        raise FileNotRead(
            f"Row {len(records)} cannot be read: a quote is open or out of place near line"
            f" {reader.line_num}. Mend the file and choose it again.",
            reason="quotes",
            row=len(records),
        ) from fault
    return records


def _delimiter_of(text: str) -> str:
    """The delimiter that gives most of the first rows as many fields as the heading row, and several."""
    best, best_score = DELIMITERS[0], (0, 0)
    for delimiter in DELIMITERS:
        try:
            records = [cells for cells in _records(text, delimiter, _LOOKED_AT) if not _is_blank(cells)]
        except FileNotRead:
            continue
        fields = len(records[0]) if records else 0
        if fields < 2:
            continue
        even = sum(len(cells) == fields for cells in records)
        if (even, fields) > best_score:
            best, best_score = delimiter, (even, fields)
    return best


def _is_blank(cells: list[str]) -> bool:
    return not any(cell.strip() for cell in cells)


def _distinct(headings: list[str]) -> tuple[str, ...]:
    """Headings without outer spaces, none empty and none twice."""
    found: list[str] = []
    for place, heading in enumerate(headings, start=1):
        name = plain = " ".join(heading.split()) or f"column {place}"
        again = 2
        while name in found:
            name = f"{plain} ({again})"
            again += 1
        found.append(name)
    return tuple(found)
