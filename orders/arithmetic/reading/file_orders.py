"""Rows of a file put together to orders, and sorted: new, already here, to mend."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from orders.arithmetic.reading.cells import QUANTITY_MOST
from orders.arithmetic.reading.headings import FIELD_NAMED
from orders.arithmetic.reading.names import LearnedNames, Named, RangeNames
from orders.arithmetic.reading.rows import LENGTH_MOST, Fault, FileRow

Wanted = Mapping[tuple[int, int], int]
"""(article id, colour id) -> pieces."""

ONCE_PER_ORDER = ("customer", "address", "ordered_on", "ship_by", "note", "gift_message", "weight")
NUMBER_MOST = LENGTH_MOST["number"]


@dataclass(frozen=True)
class FileOrder:
    """One order of a file. Whole when it has no faults; `rows` are the numbers of its rows.

    `lines` has (row, article id, colour id, quantity) in the order of the file, as far as understood.
    `seconds` are the article and colour ids that take seconds: where every row of them says so; None where no
    row says. `weight` is how often a late piece counts, None where the file does not say.
    `their_number` is what the file calls it, where an order of another origin has that number already.
    """

    number: str
    customer: str
    address: str
    ordered_on: date
    ship_by: date | None
    note: str
    gift_message: str
    came_from: str
    lines: tuple[tuple[int, int, int, int], ...]
    rows: tuple[int, ...]
    faults: tuple[Fault, ...]
    their_number: str = ""
    seconds: tuple[tuple[int, int], ...] | None = None
    weight: int | None = None

    @property
    def wanted(self) -> Wanted:
        """Pieces by article and colour; two rows of the same add up."""
        count: Counter[tuple[int, int]] = Counter()
        for _, article, colour, quantity in self.lines:
            count[article, colour] += quantity
        return dict(count)


@dataclass(frozen=True)
class KeptOrder:
    """An order the studio has already. `customer` and `address` are empty once erased."""

    number: str
    customer: str
    address: str
    is_erased: bool
    ship_by: date
    wanted: Wanted
    came_from: str = ""
    seconds: frozenset[tuple[int, int]] = frozenset()
    weight: int = 1


@dataclass(frozen=True)
class Different:
    """An order that is here with other content; `sentences` say what differs. Nothing is changed."""

    order: FileOrder
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Sorted:
    """A file sorted: what would be kept, what is here already, and what to mend."""

    new: tuple[FileOrder, ...]
    same: tuple[FileOrder, ...]
    different: tuple[Different, ...]
    to_mend: tuple[FileOrder, ...]

    @property
    def digest(self) -> str:
        """Name of exactly what would be kept, to tell whether it is still what was shown."""
        return hashlib.sha256(repr(self.new).encode()).hexdigest()

    @property
    def new_rows(self) -> int:
        """Rows that would be kept."""
        return sum(len(order.rows) for order in self.new)

    @property
    def rows_to_mend(self) -> int:
        """Rows with something wrong in them."""
        return len({fault.row for order in self.to_mend for fault in order.faults})


def orders_of(
    rows: Iterable[FileRow], names: RangeNames, learned: LearnedNames, *, today: date
) -> list[FileOrder]:
    """Put rows with the same order number together, in the order they first appear.

    What belongs to the whole order may stand in its first row only; two rows that say different things are
    both told. Rows without an order number make an order of their own that is to mend.
    """
    groups: dict[tuple[str, str], list[FileRow]] = {}
    last_origin: dict[str, str] = {}
    for row in rows:
        number = row.order or f"\n{row.number}"
        origin = (row.came_from or last_origin.get(number, "")).casefold()
        if origin and (number, "") in groups:
            # Its first rows did not say where it came from.
            groups[number, origin] = groups.pop((number, ""))
        last_origin[number] = origin
        groups.setdefault((number, origin), []).append(row)
    finder = Named(names, learned)
    return [_order_of(group, names, finder, today) for group in groups.values()]


def with_origin(number: str, came_from: str) -> str:
    """The number an order is kept under when another origin's order has its own: "1041 Market"."""
    plain = came_from.replace("/", "-").replace("\\", "-")
    return f"{number[: NUMBER_MOST - len(plain) - 1]} {plain}".strip()


def numbers_of(orders: Iterable[FileOrder]) -> set[str]:
    """Every number the orders of a file may be kept under."""
    found = set()
    for order in orders:
        found |= {order.number, with_origin(order.number, order.came_from)} if order.number else set()
    return found


def sort_out(orders: Sequence[FileOrder], kept: Mapping[str, KeptOrder], *, today: date) -> Sorted:
    """Sort the orders of a file by what keeping it would do. An order that is here is never to mend.

    The same number from two origins is two orders: the second is kept under its number with its origin.
    """
    new, same, different, to_mend = [], [], [], []
    origins = {number: here.came_from for number, here in kept.items()}
    for order in orders:
        here = _here(order, kept)
        if here is not None:
            sentences = _differences(order, here)
            if sentences:
                different.append(Different(order, sentences))
            else:
                same.append(order)
            continue
        late = _too_late(order, today)
        if order.faults or late:
            to_mend.append(_with_faults(order, late))
            continue
        if order.number in origins:
            own = with_origin(order.number, order.came_from)
            order = replace(order, number=own, their_number=order.number)
        origins[order.number] = order.came_from
        new.append(order)
    return Sorted(tuple(new), tuple(same), tuple(different), tuple(to_mend))


def _here(order: FileOrder, kept: Mapping[str, KeptOrder]) -> KeptOrder | None:
    """The order as it is kept: under its number, or under its number with its origin."""
    here = kept.get(order.number)
    if here is None:
        return None
    if not (order.came_from and here.came_from) or order.came_from.casefold() == here.came_from.casefold():
        return here
    return kept.get(with_origin(order.number, order.came_from))


def _order_of(group: Sequence[FileRow], names: RangeNames, finder: Named, today: date) -> FileOrder:
    faults = [fault for row in group for fault in row.faults] + _contradictions(group)
    once = _Once.of(group)
    lines = []
    seconds: dict[tuple[int, int], bool] = {}
    for row in group:
        article, colour, wrong = _understood(row, names, finder)
        faults += wrong
        if article is not None and colour is not None and row.quantity is not None:
            lines.append((row.number, article, colour, row.quantity))
            seconds[article, colour] = bool(row.seconds_do) and seconds.get((article, colour), True)
    seen = {fault.field for fault in faults}
    for field, label, is_there in (
        ("customer", "customer", bool(once.customer)),
        ("ship_by", "ship by", once.ship_by is not None),
    ):
        if not is_there and not seen & {field, ""}:
            faults.append(Fault(group[0].number, field, f"{label} is empty."))
    if once.ordered_on and once.ordered_on > today:
        sentence = f"ordered on {_day(once.ordered_on)} has not come yet."
        faults.append(Fault(group[0].number, "ordered_on", sentence, once.ordered_on.isoformat()))
    order = FileOrder(
        number=group[0].order,
        customer=once.customer,
        address=once.address,
        ordered_on=once.ordered_on or today,
        ship_by=once.ship_by,
        note=once.note,
        gift_message=once.gift_message,
        came_from=once.came_from,
        lines=tuple(lines),
        rows=tuple(row.number for row in group),
        faults=tuple(sorted(faults, key=lambda fault: fault.row)),
        seconds=tuple(sorted(key for key, do in seconds.items() if do))
        if any(row.seconds_do is not None for row in group)
        else None,
        weight=once.weight,
    )
    return _with_faults(order, _too_many(order))


@dataclass(frozen=True)
class _Once:
    """What the rows say of the order as a whole: of each field what the first row with it says."""

    customer: str
    address: str
    ordered_on: date | None
    ship_by: date | None
    note: str
    gift_message: str
    came_from: str
    weight: int | None

    @classmethod
    def of(cls, group: Sequence[FileRow]) -> _Once:
        return cls(
            customer=next((row.customer for row in group if row.customer), ""),
            address=next((row.address for row in group if row.address), ""),
            ordered_on=next((row.ordered_on for row in group if row.ordered_on), None),
            ship_by=next((row.ship_by for row in group if row.ship_by), None),
            note=next((row.note for row in group if row.note), ""),
            gift_message=next((row.gift_message for row in group if row.gift_message), ""),
            came_from=next((row.came_from for row in group if row.came_from), ""),
            weight=next((row.weight for row in group if row.weight), None),
        )


def _contradictions(group: Sequence[FileRow]) -> list[Fault]:
    """Where a later row says something else of the order as a whole than the first row that says it."""
    faults = []
    for field in ONCE_PER_ORDER:
        saying = [row for row in group if getattr(row, field)]
        for row in saying[1:]:
            here, there = getattr(row, field), getattr(saying[0], field)
            if here != there:
                label = FIELD_NAMED[field].label.lower()
                sentence = (
                    f"{label} is {_in_words(here)} here and {_in_words(there)} in row {saying[0].number}."
                )
                faults.append(Fault(row.number, field, sentence, str(here)))
    return faults


def _understood(row: FileRow, names: RangeNames, finder: Named) -> tuple[int | None, int | None, list[Fault]]:
    """Article and colour of a row, and what is wrong with them."""
    faults: list[Fault] = []
    if any(fault.field == "" for fault in row.faults):
        return None, None, faults
    if {fault.field for fault in row.faults if fault.text} & {"article", "colour"}:
        # Said already: a formula, or too long.
        return None, None, faults
    article, colour = finder.article(row.article), finder.colour(row.colour)
    if article is None and row.article:
        faults.append(Fault(row.number, "article", f'"{row.article}" is not in the Range.', row.article))
    if colour is None and row.colour:
        faults.append(Fault(row.number, "colour", f'"{row.colour}" is no colour of the Range.', row.colour))
    if article is not None and colour is not None and colour not in names.made_in.get(article, ()):
        sentence = f"{names.articles[article]} is not made in {names.colours[colour]}."
        faults.append(Fault(row.number, "colour", sentence, row.colour))
    return article, colour, faults


def _too_late(order: FileOrder, today: date) -> list[Fault]:
    if order.ship_by is None or order.ship_by >= today:
        return []
    sentence = f"ship by {_day(order.ship_by)} is past. Give a day from today on."
    return [Fault(order.rows[0], "ship_by", sentence, order.ship_by.isoformat())]


def _too_many(order: FileOrder) -> list[Fault]:
    if all(quantity <= QUANTITY_MOST for quantity in order.wanted.values()):
        return []
    sentence = f"its rows add up to more than {QUANTITY_MOST} of one article."
    return [Fault(order.rows[-1], "quantity", sentence)]


def _with_faults(order: FileOrder, more: Sequence[Fault]) -> FileOrder:
    if not more:
        return order
    return replace(order, faults=(*order.faults, *more))


def _differences(order: FileOrder, here: KeptOrder) -> tuple[str, ...]:
    """What the file says otherwise than the order that is kept."""
    if order.faults:
        return (f"row {order.faults[0].row} cannot be read: {order.faults[0].sentence}",)
    found = []
    if order.ship_by != here.ship_by and order.ship_by is not None:
        found.append(f"kept to ship by {_day(here.ship_by)}, the file says {_day(order.ship_by)}.")
    if order.wanted != here.wanted:
        kept, said = sum(here.wanted.values()), sum(order.wanted.values())
        if kept == said:
            found.append(f"kept with the same count of {kept}, in other articles or colours.")
        else:
            found.append(f"kept with {kept} pieces, the file says {said}.")
    if order.seconds is not None and {*order.seconds} != here.seconds:
        found.append("kept with seconds for other lines.")
    if order.weight is not None and order.weight != here.weight:
        found.append("kept to count otherwise if it is late.")
    if not here.is_erased:
        if order.customer != here.customer:
            found.append(f"kept for {here.customer}, the file says {order.customer}.")
        elif order.address and order.address != here.address:
            found.append("kept with another address.")
    return tuple(found)


def _in_words(value: object) -> str:
    return _day(value) if isinstance(value, date) else f'"{value}"'


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"
