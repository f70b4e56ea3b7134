"""Rows of an order file as what they say, each with what is wrong in it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from inventory.arithmetic.cells import CellNotRead, DayOrder, day_order, read_day, shorten
from inventory.arithmetic.csv_text import CsvRow, CsvText
from orders.arithmetic.reading.cells import (
    bare_cell,
    is_formula,
    read_late_weight,
    read_quantity,
    read_yes_no,
)
from orders.arithmetic.reading.headings import FIELD_NAMED, Columns

LENGTH_MOST = {
    "number": 40,
    "customer": 120,
    "came_from": 40,
    "address": 400,
    "note": 2000,
    "gift_message": 400,
}
ADDRESS_LINES_MOST = 8
# Of these a formula would be kept as it stands, and nobody wants that on a parcel.
NO_FORMULA = ("number", "customer", "address", "article", "colour", "came_from")
TOLD_EVERY = 500
Telling = Callable[[int], None]
"""Told how many rows are read; may raise to end the reading."""

Mends = Mapping[int, Mapping[str, str]]
"""Row number -> field -> the text that stands instead of what the file says."""


@dataclass(frozen=True)
class Fault:
    """What is wrong in a row: the field ("" for the whole row), the sentence, the text not understood."""

    row: int
    field: str
    sentence: str
    text: str = ""


@dataclass(frozen=True)
class FileRow:
    """One row: one article in one colour of one order. Fields with a fault are None or empty.

    `seconds_do` and `weight` are None where the row does not say.
    """

    number: int
    order: str
    customer: str
    address: str
    ordered_on: date | None
    ship_by: date | None
    article: str
    colour: str
    quantity: int | None
    note: str
    gift_message: str
    came_from: str
    faults: tuple[Fault, ...]
    seconds_do: bool | None = None
    weight: int | None = None


@dataclass(frozen=True)
class FileRows:
    """All rows of a file that were not left out, and how its days were read."""

    rows: tuple[FileRow, ...]
    days: DayOrder


def number_fault(number: str) -> str:
    """What makes a text unfit as an order number, which is part of a page's address; "" when nothing."""
    unfit = next((sign for sign in "/\\" if sign in number), "")
    if unfit:
        return f'"{shorten(number)}" has a {unfit} in it, which an order number cannot have.'
    return f'"{number}" is no order number.' if number in (".", "..") else ""


def read_rows(
    text: CsvText,
    columns: Columns,
    *,
    mends: Mends,
    left_out: Collection[int],
    day_first: bool | None = None,
    tell: Telling | None = None,
) -> FileRows:
    """Read every row by the columns given; `mends` stand in for cells, rows in `left_out` are passed over.

    `day_first` says how days such as 3/4/2026 are meant, None that the file is to tell.
    """
    left_out = frozenset(left_out)
    rows = [row for row in text.rows if row.number not in left_out]
    places = {heading: place for place, heading in enumerate(text.headings)}
    named = {
        field: [places[heading] for heading in headings if heading in places]
        for field, headings in columns.items()
    }
    said = [_said_by(row, named, mends.get(row.number, {})) for row in rows]
    days = day_order(cells[field] for cells in said for field in ("ordered_on", "ship_by"))
    if day_first is not None:
        days = DayOrder(day_first, is_sure=True, is_used=days.is_used)
    read: list[FileRow] = []
    for row, cells in zip(rows, said, strict=True):
        if tell and len(read) % TOLD_EVERY == 0:
            tell(len(read))
        read.append(_read_row(row, cells, days, len(text.headings)))
    return FileRows(tuple(read), days)


def _said_by(row: CsvRow, named: Mapping[str, list[int]], mended: Mapping[str, str]) -> dict[str, str]:
    """What the row says, by field; the lines of an address under each other."""
    cells: dict[str, str] = {}
    for field in FIELD_NAMED:
        found = [bare_cell(row.cells[place]) for place in named.get(field, ()) if place < len(row.cells)]
        if field == "address":
            lines = [line.strip() for cell in found for line in cell.splitlines()]
            cells[field] = "\n".join(line for line in lines if line)
        elif field in ("note", "gift_message"):
            cells[field] = "\n".join(line.strip() for line in (found or [""])[0].splitlines()).strip()
        else:
            cells[field] = " ".join((found or [""])[0].split())
    cells.update({field: " ".join(text.split()) for field, text in mended.items() if field in cells})
    return cells


def _read_row(row: CsvRow, cells: Mapping[str, str], days: DayOrder, width: int) -> FileRow:
    faults: list[Fault] = []

    def wrong(field: str, sentence: str) -> None:
        faults.append(Fault(row.number, field, sentence, cells.get(field, "")))

    def understood(field: str, read: Callable[[str], Any]) -> Any:
        """What a cell says, None where it says nothing or cannot be read."""
        try:
            return read(cells[field]) if cells[field] else None
        except CellNotRead as fault:
            wrong(field, str(fault))
            return None

    if len(row.cells) != width:
        # Which cell is which cannot be told, so nothing else is said about the row.
        why = "A text with a comma may need quotes." if len(row.cells) > width else "Something is cut off."
        wrong("", f"{len(row.cells)} fields under {width} headings. {why}")
        return _as_read(row.number, cells, faults)
    for field, sentence in _faults_of_texts(cells):
        wrong(field, sentence)
    if not cells["quantity"]:
        wrong("quantity", "how many is empty.")
    return _as_read(
        row.number,
        cells,
        faults,
        ordered_on=understood("ordered_on", partial(read_day, order=days)),
        ship_by=understood("ship_by", partial(read_day, order=days)),
        quantity=understood("quantity", read_quantity),
        seconds_do=understood("seconds_do", read_yes_no),
        weight=understood("weight", read_late_weight),
    )


def _faults_of_texts(cells: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """What is wrong with the texts of a row: field and sentence."""
    for field in ("number", "article", "colour"):
        if not cells[field]:
            yield (field, f"{FIELD_NAMED[field].label.lower()} is empty.")
    for field in NO_FORMULA:
        if is_formula(cells[field]):
            label = FIELD_NAMED[field].label.lower()
            yield (field, f"{label} is a formula, {shorten(cells[field])}. Type what it comes to.")
    for field, most in LENGTH_MOST.items():
        if len(cells[field]) > most:
            yield (field, f"{FIELD_NAMED[field].label.lower()} is longer than {most} signs.")
    if len(cells["address"].splitlines()) > ADDRESS_LINES_MOST:
        yield ("address", f"the address has more than {ADDRESS_LINES_MOST} lines, too many for the window.")
    if fault_of_number := number_fault(cells["number"]):
        yield ("number", fault_of_number)


def _as_read(
    number: int,
    cells: Mapping[str, str],
    faults: list[Fault],
    *,
    ordered_on: date | None = None,
    ship_by: date | None = None,
    quantity: int | None = None,
    seconds_do: bool | None = None,
    weight: int | None = None,
) -> FileRow:
    return FileRow(
        number=number,
        order=cells["number"],
        customer=cells["customer"],
        address=cells["address"],
        ordered_on=ordered_on,
        ship_by=ship_by,
        article=cells["article"],
        colour=cells["colour"],
        quantity=quantity,
        note=cells["note"],
        gift_message=cells["gift_message"],
        came_from=cells["came_from"],
        faults=tuple(faults),
        seconds_do=seconds_do,
        weight=weight,
    )
