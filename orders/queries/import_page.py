"""An order file as its page shows it: cards to mend, what is here already, what is new."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice

from django.utils.timezone import localtime

from inventory.arithmetic.csv_text import CsvText
from orders.arithmetic.reading.file_orders import ONCE_PER_ORDER, FileOrder
from orders.arithmetic.reading.headings import FIELD_NAMED
from orders.arithmetic.reading.names import RangeNames, named, near_names
from orders.arithmetic.reading.rows import Fault
from orders.queries.preview import Preview
from orders.queries.wording import counted, listed, near_day, quoted_numbers

LATE_WORDS = {1: "", 2: "counts twice", 4: "counts four times"}
CARDS_MOST, NEW_MOST, LEFT_OUT_MOST = 40, 200, 200


@dataclass(frozen=True)
class MendCard:
    """One thing to mend, in one row or in many that say the same.

    `kind` "articles" or "colours" asks what a name means, "cell" for another text, "" when only the file
    itself can be mended. `choices` has the likeliest first; `left_out` are the rows that can be left out, ""
    where they are too many.
    """

    row: int
    rows: str
    order: str
    heading: str
    waits: str
    left_out: str
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
    seconds_do: bool
    late_counts: str


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
    more_to_mend: int
    more_new: int
    renamed: tuple[str, ...]


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
    cards = tuple(_cards(found.to_mend, names))
    to_mend = found.rows_to_mend or "none"
    return ImportPage(
        statement=f"{name}: {counted(seen.rows_read, 'row')} read, {to_mend} to mend",
        seen=_seen_words(seen, today),
        guessed_days=seen.guessed_days,
        to_mend=cards[:CARDS_MOST],
        here=tuple(_here(seen)),
        new=tuple(islice((row for order in found.new for row in _new_rows(order, names, today)), NEW_MOST)),
        left_out=tuple(left_out),
        button=f"Keep {counted(len(found.new), 'order')}, {counted(found.new_rows, 'row')}",
        shown=found.digest,
        has_rows_left=bool(found.to_mend),
        more_to_mend=len(cards) - CARDS_MOST if len(cards) > CARDS_MOST else 0,
        more_new=max(0, found.new_rows - NEW_MOST),
        renamed=tuple(islice(_renamed(seen), CARDS_MOST)),
    )


def rows_to_mend(seen: Preview) -> list[int]:
    """The numbers of the rows of orders that are to mend."""
    return sorted(row for order in seen.sorted.to_mend for row in order.rows)


def _seen_words(seen: Preview, today: date) -> str:
    """ "Same file as Sun 4 Oct, 19:52. Nothing added." when it was kept before."""
    if seen.seen_at is None:
        return ""
    at = localtime(seen.seen_at)
    added = "" if seen.sorted.new or seen.sorted.to_mend else " Nothing added."
    return f"Same file as {at:%a} {at.day} {at:%b}, {at:%H:%M}.{added}"


def _cards(orders: Sequence[FileOrder], names: RangeNames) -> Iterator[MendCard]:
    """One card for each fault; rows that name the same unknown article or colour share one."""
    groups: dict[tuple[str, str] | int, list[tuple[FileOrder, Fault]]] = {}
    ways: dict[tuple[str, str, str], tuple[str, tuple[tuple[int, str], ...]]] = {}
    for order in orders:
        for fault in order.faults:
            asked = (fault.field, fault.text, fault.sentence)
            if asked not in ways:
                ways[asked] = _way_to_mend(order, fault, names)
            kind, _ = ways[asked]
            alike = (kind, fault.text) if kind in ("articles", "colours") else len(groups)
            groups.setdefault(alike, []).append((order, fault))
    for found in groups.values():
        _, fault = found[0]
        yield _card(found, *ways[fault.field, fault.text, fault.sentence])


def _card(
    found: Sequence[tuple[FileOrder, Fault]], kind: str, choices: tuple[tuple[int, str], ...]
) -> MendCard:
    order, fault = found[0]
    more = len(found) - 1
    rows = order.rows if fault.field in ONCE_PER_ORDER else tuple(one.row for _, one in found)
    of_order = f", order {order.number}" if order.number else ""
    also = f", and {counted(more, 'more row')}" if more else ""
    waits = f"Order {order.number} waits" if order.number else "The row waits"
    if more:
        waits = f"{counted(len({one.number for one, _ in found}), 'order')} wait"
    left_out = tuple(one.row for _, one in found)
    return MendCard(
        row=fault.row,
        rows=",".join(map(str, rows)),
        order=order.number,
        heading=f"Row {fault.row}{of_order}{also}: {fault.sentence}",
        waits=f"{waits} until {'these rows are' if more else 'this row is'} mended or left out.",
        left_out=",".join(map(str, left_out)) if len(left_out) <= LEFT_OUT_MOST else "",
        kind=kind,
        field=fault.field,
        label=FIELD_NAMED[fault.field].label if fault.field else "",
        text=fault.text,
        choices=choices,
        is_whole_order=order.rows == (fault.row,) and not more,
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
    for different in seen.sorted.different[:CARDS_MOST]:
        order = different.order
        said = " ".join(_begun(sentence) for sentence in different.sentences)
        yield HereAlready(f"Row {order.rows[0]}, order {order.number}. {said} Nothing changed.", order.number)


def _begun(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _renamed(seen: Preview) -> Iterator[str]:
    """What is kept under another number than the file has."""
    for order in seen.sorted.new:
        if order.their_number:
            yield (
                f"Order {order.their_number} from {order.came_from or 'no origin'} is kept as"
                f' "{order.number}": {order.their_number} is another origin\'s.'
            )


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
            seconds_do=(article, colour) in (order.seconds or ()),
            late_counts=LATE_WORDS[order.weight or 1],
        )
