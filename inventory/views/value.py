"""What the stores are worth, what goes out of them month by month, and what lumps cost. For the owner."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render

from inventory.arithmetic.csv_writing import csv_lines
from inventory.arithmetic.money import split_money
from inventory.drawings.shapes import Picture
from inventory.queries.lumps import lumps_since
from inventory.queries.months import LOSSES, REASONS, USES, Months, months_up_to, used_by_month
from inventory.queries.value import MaterialOnHand, on_hand
from inventory.roles import owner_only
from inventory.tables.columns import plain
from inventory.views.value_words import LumpsShown, lumps_shown, month_words, months_picture

MONTHS = 12
LUMPS_MONTHS = 24
# The materials that lost most: more plots than this answer nothing.
LUMPS_MOST = 6


@owner_only
def value(request: HttpRequest) -> HttpResponseBase:
    """The page, or one of its tables as a CSV file."""
    today = request.studio.local(request.studio.now()).date()
    last = _last_month(request, today)
    months = used_by_month(last, MONTHS)
    currency = request.studio.facts.currency
    if request.GET.get("csv") == "months":
        return _file(_month_rows(months, currency), f"used by month {last:%Y-%m}.csv")
    materials = on_hand()
    if request.GET.get("csv") == "lots":
        return _file(_lot_rows(materials, currency), f"worth of the stores {today}.csv")
    by_month = months.by_month()
    context = {
        "materials": materials,
        "worth_minor": sum(one.worth_minor for one in materials),
        "by_lots_minor": sum(one.by_lots_minor for one in materials),
        "reasons": REASONS,
        "table": [
            (month_words(month, today), _each(sums), sum(sums.values()))
            for month, sums in by_month.items()
            if any(sums.values())
        ],
        "totals": _each(_added(by_month.values())),
        "total_minor": sum(sum(sums.values()) for sums in by_month.values()),
        "by_material": [(row, _each(amounts), cost) for row, amounts, cost in months.by_material()],
        "pictures": _pictures(by_month, currency, today),
        "lumps": _lumps(today, currency),
        "earlier": _earlier(months.months[0]),
        "later": None if last >= today.replace(day=1) else _later(last, today),
        "today": today,
    }
    return render(request, "inventory/value.html", context)


def _each(figures: Counter[str]) -> list[tuple[str, int]]:
    return [(reason, figures[reason]) for reason in REASONS]


def _added(sums: Iterable[Counter[str]]) -> Counter[str]:
    """The sums of all months; adding counters would drop what is below zero."""
    added: Counter[str] = Counter()
    for one in sums:
        added.update(one)
    return added


def _pictures(by_month: dict[date, Counter[str]], currency: str, today: date) -> list[tuple[str, Picture]]:
    return [
        (heading, months_picture(heading, by_month, reasons, currency, today, css))
        for heading, reasons, css in (("Used", USES, "d-bar"), ("Lost", LOSSES, "d-bar-used"))
    ]


def _lumps(today: date, currency: str) -> list[LumpsShown]:
    since = months_up_to(today, LUMPS_MONTHS)[0]
    return [lumps_shown(one, currency) for one in lumps_since(since)[:LUMPS_MOST]]


def _last_month(request: HttpRequest, today: date) -> date:
    """The last month asked for, this one unless another that is past is asked for."""
    try:
        asked = date.fromisoformat(f"{request.GET.get('until', '')}-01")
    except ValueError:
        return today
    return min(asked, today) if asked.year > 1990 else today


def _earlier(first: date) -> str:
    return f"{months_up_to(first, 2)[0]:%Y-%m}"


def _later(last: date, today: date) -> str:
    number = last.year * 12 + last.month - 1 + MONTHS
    return f"{min(date(number // 12, number % 12 + 1, 1), today):%Y-%m}"


def _month_rows(months: Months, currency: str) -> Iterator[Sequence[object]]:
    yield ("Month", "Material", "Reason", "Amount", "Unit", "Cost", "Currency")
    for row in months.rows:
        cost = _sum(row.cost_minor, currency)
        yield (f"{row.month:%Y-%m}", row.material, row.reason, plain(row.amount), row.unit, cost, currency)


def _lot_rows(materials: Sequence[MaterialOnHand], currency: str) -> Iterator[Sequence[object]]:
    yield (
        "Material",
        "Lot",
        "Came in",
        "Best before",
        "Received",
        "In the tubs",
        "Left, first in first out",
        "Unit",
        "Price",
        "Worth",
        "Currency",
    )
    for one in materials:
        for lot in one.lots:
            yield (
                one.material,
                lot.code,
                lot.received_on,
                lot.best_before,
                plain(lot.received),
                plain(lot.held),
                plain(lot.left),
                one.unit,
                _sum(lot.price_minor, currency),
                _sum(lot.worth_minor, currency),
                currency,
            )


def _sum(minor: int, currency: str) -> float | int | str:
    """A sum as a number a spreadsheet adds, also below zero."""
    return float(split_money(minor, currency).figure.replace(",", ""))


def _file(rows: Iterator[Sequence[object]], filename: str) -> HttpResponse | StreamingHttpResponse:
    answer = StreamingHttpResponse(csv_lines(rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer
