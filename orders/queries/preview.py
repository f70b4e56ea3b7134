"""What keeping an order file would do. Nothing is changed by looking."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from inventory.arithmetic.csv_text import CsvText
from orders.arithmetic.reading.file_orders import KeptOrder, Sorted, numbers_of, orders_of, sort_out
from orders.arithmetic.reading.headings import Columns, guess_columns, heading_digest, missing_fields
from orders.arithmetic.reading.names import LearnedNames, RangeNames
from orders.arithmetic.reading.rows import Mends, Telling, read_rows
from orders.models import ColumnMapping, Order, OrderFile

# A database takes only so many values in one question.
AT_ONCE = 10_000


@dataclass(frozen=True)
class Choices:
    """What was said about a file: columns, names, mended cells, rows left out."""

    columns: Columns
    learned: LearnedNames
    mends: Mends
    left_out: tuple[int, ...]
    day_first: bool | None = None


@dataclass(frozen=True)
class Preview:
    """A file read and sorted. `guessed_days`: days such as 3/4/2026 were read day first without proof."""

    rows_read: int
    sorted: Sorted
    guessed_days: bool
    seen_at: datetime | None


def known_columns(text: CsvText) -> dict[str, list[str]]:
    """The columns of a file: as remembered for its heading row, else as its headings tell. One query."""
    remembered = ColumnMapping.objects.filter(header_digest=heading_digest(text.headings)).first()
    return dict(remembered.columns) if remembered else guess_columns(text.headings)


def learned_names(text: CsvText) -> LearnedNames:
    """Names learned from files with the same heading row. One query."""
    remembered = ColumnMapping.objects.filter(header_digest=heading_digest(text.headings)).first()
    names = remembered.names if remembered else {}
    return LearnedNames(names.get("articles", {}), names.get("colours", {}))


def wants_columns(columns: Columns) -> bool:
    """Whether the meaning of some column has to be said before the file can be read."""
    return bool(missing_fields(columns))


def preview(
    text: CsvText,
    choices: Choices,
    names: RangeNames,
    *,
    digest: str,
    today: date,
    tell: Telling | None = None,
) -> Preview:
    """Read and sort a file. Three queries for each ten thousand orders; `tell` hears how far it is."""
    read = read_rows(
        text,
        choices.columns,
        mends=choices.mends,
        left_out=choices.left_out,
        day_first=choices.day_first,
        tell=tell,
    )
    orders = orders_of(read.rows, names, choices.learned, today=today)
    seen = OrderFile.objects.filter(digest=digest).values_list("imported_at", flat=True).first()
    return Preview(
        rows_read=len(text.rows),
        sorted=sort_out(orders, kept_orders(numbers_of(orders)), today=today),
        guessed_days=read.days.is_used and not read.days.is_sure,
        seen_at=seen,
    )


def kept_orders(numbers: Iterable[str]) -> dict[str, KeptOrder]:
    """The orders that are here already, by number. Three queries for each ten thousand."""
    asked = sorted({number for number in numbers if number})
    found: dict[str, KeptOrder] = {}
    for begin in range(0, len(asked), AT_ONCE):
        rows = (
            Order.objects.filter(number__in=asked[begin : begin + AT_ONCE])
            .select_related("customer")
            .prefetch_related("lines")
        )
        for row in rows:
            found[row.number] = KeptOrder(
                number=row.number,
                customer=row.customer.name if row.customer else "",
                address=row.customer.address if row.customer else "",
                is_erased=bool(row.customer and row.customer.erased_at),
                ship_by=row.ship_by,
                wanted={(line.article_id, line.colour_id): line.quantity for line in row.lines.all()},
                came_from=row.came_from,
                seconds=frozenset(
                    (line.article_id, line.colour_id) for line in row.lines.all() if line.seconds_do
                ),
                weight=row.weight,
            )
    return found
