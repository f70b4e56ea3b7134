"""An order file as its page shows it: cards to mend, what is here already, what is new."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.timezone import localtime

from inventory.arithmetic.csv_text import CsvText
from orders.arithmetic.reading.file_orders import ONCE_PER_ORDER, FileOrder
from orders.arithmetic.reading.headings import FIELD_NAMED
from orders.arithmetic.reading.names import RangeNames, named, near_names
from orders.arithmetic.reading.rows import Fault
from orders.queries.preview import Preview
from orders.queries.wording import counted, listed, near_day, quoted_numbers


@dataclass(frozen=True)
class MendCard:
    """One thing to mend. `kind` "articles" or "colours" asks what a name means, "cell" for another text, ""
    when only the file itself can be mended. `choices` has the likeliest first."""

    row: int
    rows: str
    order: str
    heading: str
    waits: str
    kind: str
    field: str
    label: str
    text: str
    choices: tuple[tuple[int, str], ...]
    is_whole_order: bool


@dataclass(frozen=True)
class NewRow:
    """One row that would be kept."""

    row: int
    order: str
    customer: str
    article: str
    colour: str
    quantity: int
    ship_by: str


@dataclass(frozen=True)
class HereAlready:
    """Orders of the file that are here: the sentence about them, and the one to open if it differs."""

    sentence: str
    number: str


@dataclass(frozen=True)
class ImportPage:
    """The page of a file. `shown` names what the button keeps."""

    statement: str
    seen: str
    guessed_days: bool
    to_mend: tuple[MendCard, ...]
    here: tuple[HereAlready, ...]
    new: tuple[NewRow, ...]
    left_out: tuple[int, ...]
    button: str
    shown: str
    has_rows_left: bool


def import_page(
    name: str,
    text: CsvText,
    names: RangeNames,
    seen: Preview,
    *,
    left_out: Sequence[int],
    today: date,
) -> ImportPage:
    """Lay a read file out for its page."""
    found = seen.sorted
    to_mend = found.rows_to_mend or "none"
    return ImportPage(
        statement=f"{name}: {counted(seen.rows_read, 'row')} read, {to_mend} to mend",
        seen=_seen_words(seen, today),
        guessed_days=seen.guessed_days,
        to_mend=tuple(_card(order, fault, names) for order in found.to_mend for fault in order.faults),
        here=tuple(_here(seen)),
        new=tuple(row for order in found.new for row in _new_rows(order, names, today)),
        left_out=tuple(left_out),
        button=f"Keep {counted(len(found.new), 'order')}, {counted(found.new_rows, 'row')}",
        shown=found.digest,
        has_rows_left=bool(found.to_mend),
    )


def rows_left(text: CsvText, seen: Preview) -> list[tuple[str, ...]]:
    """The rows of orders that are to mend, as the file has them."""
    waiting = {row for order in seen.sorted.to_mend for row in order.rows}
    return [row.cells for row in text.rows if row.number in waiting]


def _seen_words(seen: Preview, today: date) -> str:
    """ "Same file as Sun 4 Oct, 19:52. Nothing added." when it was kept before."""
    if seen.seen_at is None:
        return ""
    at = localtime(seen.seen_at)
    added = "" if seen.sorted.new or seen.sorted.to_mend else " Nothing added."
    return f"Same file as {at:%a} {at.day} {at:%b}, {at:%H:%M}.{added}"


def _card(order: FileOrder, fault: Fault, names: RangeNames) -> MendCard:
    kind, choices = _way_to_mend(order, fault, names)
    is_whole_order = order.rows == (fault.row,)
    rows = order.rows if fault.field in ONCE_PER_ORDER else (fault.row,)
    of_order = f", order {order.number}" if order.number else ""
    label = FIELD_NAMED[fault.field].label if fault.field else ""
    waits = f"Order {order.number} waits" if order.number else "The row waits"
    return MendCard(
        row=fault.row,
        rows=",".join(map(str, rows)),
        order=order.number,
        heading=f"Row {fault.row}{of_order}: {fault.sentence}",
        waits=f"{waits} until this row is mended or left out.",
        kind=kind,
        field=fault.field,
        label=label,
        text=fault.text,
        choices=choices,
        is_whole_order=is_whole_order,
    )


def _way_to_mend(
    order: FileOrder, fault: Fault, names: RangeNames
) -> tuple[str, tuple[tuple[int, str], ...]]:
    """How a fault can be mended on the page, and what there is to choose from."""
    if not fault.field:
        return "", ()
    if fault.field not in ("article", "colour") or not fault.text:
        return "cell", ()
    known = names.articles if fault.field == "article" else names.colours
    if named(fault.text, known, {}) is not None:
        # The name is right and does not go with the article: another one for this row only.
        return "cell", ()
    near = near_names(fault.text, known)
    rest = sorted((found for found in known if found not in near), key=lambda found: known[found].casefold())
    # Where no name is near, the first of the others would be taught by one careless tap.
    begin = () if near else ((0, "choose"),)
    return f"{fault.field}s", (*begin, *((found, known[found]) for found in [*near, *rest]))


def _here(seen: Preview) -> Iterator[HereAlready]:
    same = seen.sorted.same
    if same:
        rows = [str(row) for order in same for row in order.rows]
        numbers = [order.number for order in same]
        rows_words = f"Row {rows[0]}" if len(rows) == 1 else f"Rows {_few(rows)}"
        yield HereAlready(f"{rows_words}, {quoted_numbers(numbers[:12])}: same as kept. Nothing added.", "")
    for different in seen.sorted.different:
        order = different.order
        said = " ".join(different.sentences)
        yield HereAlready(f"Row {order.rows[0]}, order {order.number}: {said} Nothing changed.", order.number)


def _few(rows: Sequence[str]) -> str:
    return listed(rows) if len(rows) <= 6 else f"{rows[0]} to {rows[-1]}, {len(rows)} of them"


def _new_rows(order: FileOrder, names: RangeNames, today: date) -> Iterator[NewRow]:
    assert order.ship_by is not None
    for row, article, colour, quantity in order.lines:
        yield NewRow(
            row=row,
            order=order.number,
            customer=order.customer,
            article=names.articles[article],
            colour=names.colours[colour],
            quantity=quantity,
            ship_by=near_day(order.ship_by, today),
        )
