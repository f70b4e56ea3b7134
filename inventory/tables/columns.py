"""Columns that know how a figure is shown on a page and how it is written into a CSV file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django_tables2.utils import A

from inventory.arithmetic.money import split_money
from inventory.arithmetic.quantities import THOUSANDTHS
from inventory.queries.wording import full_day, in_words, level_in_words

NUM = {"td": {"class": "num"}, "th": {"class": "num"}}
DAY_WORDS = {"words": {"up": "earliest first", "down": "latest first"}}
KEY = {"td": {"class": "key"}}
EMPTY = "–"


class AmountColumn(tables.Column):
    """An amount in thousandths, shown with its unit; in a file the bare figure in grams, mL or pieces.

    `unit` leads from the record to the unit; `level` leaves out zeros that say nothing.
    """

    def __init__(self, *args: Any, unit: str = "material__unit", level: bool = False, **options: Any) -> None:
        super().__init__(*args, **{"attrs": NUM, **options})
        self.unit, self.level = A(unit), level

    def render(self, value: int, record: Any) -> str:  # type: ignore[override]
        """In the words of the stores."""
        return (level_in_words if self.level else in_words)(value, self.unit.resolve(record))

    def value(self, value: int, **_: Any) -> Decimal | int:
        """The bare figure."""
        return plain(value)


class DayColumn(tables.Column):
    """A day; in a file as ISO 8601."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"attrs": DAY_WORDS, "default": EMPTY, **options})

    def render(self, value: date | datetime) -> str:  # type: ignore[override]
        """The day of the studio."""
        return full_day(_local(value))

    def value(self, value: date | datetime | str, **_: Any) -> str:
        """The same day."""
        return "" if isinstance(value, str) else _local(value).isoformat()


class WhenColumn(tables.Column):
    """An instant, in the studio's time; in a file with its offset, so that no hour is meant twice."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"attrs": DAY_WORDS, **options})

    def render(self, value: datetime) -> str:  # type: ignore[override]
        """Day and time."""
        local = timezone.localtime(value)
        return f"{full_day(local.date())}, {local:%H:%M}"

    def value(self, value: datetime, **_: Any) -> str:
        """ISO 8601 with the offset."""
        return timezone.localtime(value).isoformat(timespec="seconds")


class MoneyColumn(tables.Column):
    """A sum in minor units of `table.currency`; for the owner only."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"attrs": NUM, **options})

    def render(self, value: int, table: Any) -> str:  # type: ignore[override]
        """With the currency; nothing where no price is known."""
        return str(split_money(value, table.currency)) if value else EMPTY

    def value(self, value: int, table: Any, **_: Any) -> str:
        """The figure without grouping."""
        return split_money(value, table.currency).figure.replace(",", "")


class LinkColumn(tables.Column):
    """The name of the thing, leading to its page. `route` takes what `to` leads to."""

    def __init__(self, *args: Any, route: str, to: str = "", **options: Any) -> None:
        super().__init__(*args, **{"attrs": KEY, **options})
        self.route, self.to = route, A(to) if to else None

    def render(self, value: Any, record: Any) -> str:  # type: ignore[override]
        """As a link."""
        target = self.to.resolve(record) if self.to else value
        return format_html('<a href="{}">{}</a>', reverse(f"inventory:{self.route}", args=[target]), value)

    def value(self, value: Any, **_: Any) -> str:
        """The bare name."""
        return str(value)


class StoresTable(tables.Table):
    """A list of the stores: `priced` columns are for the owner's eyes, and CSV has all rows that are left."""

    priced: Sequence[str] = ()

    def __init__(self, *args: Any, currency: str = "", with_prices: bool = False, **options: Any) -> None:
        hidden = () if with_prices else self.priced
        super().__init__(*args, exclude=hidden, **options)
        self.currency = currency
        # Rows alike in the column sorted by keep one order, or pages would show some twice and miss others.
        rows = self.data.data
        self.data.data = rows.order_by(*rows.query.order_by, "-pk")

    def csv_rows(self) -> Iterator[Sequence[object]]:
        """Headings, then every row, of all pages, as plain values."""
        for row in self.as_values():
            yield ["" if cell == EMPTY else cell for cell in row]


def plain(amount: int) -> Decimal | int:
    """An amount in thousandths as a figure of the base unit, exact."""
    whole, rest = divmod(amount, THOUSANDTHS)
    return Decimal(amount).scaleb(-3).normalize() if rest else whole


def _local(value: date | datetime) -> date:
    return timezone.localtime(value).date() if isinstance(value, datetime) else value
