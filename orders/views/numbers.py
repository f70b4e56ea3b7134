"""Numbers a maker asks for: a page with small drawings, and the same as files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from inventory.arithmetic.csv_writing import csv_text
from inventory.drawings.bars import BarsFacts, bars_picture
from inventory.drawings.shapes import Picture
from inventory.roles import for_everyone
from orders.queries.numbers import SELLERS_MOST, Month, Numbers, numbers


@dataclass(frozen=True)
class Drawn:
    """One number by month: its heading, its picture, and what it means."""

    heading: str
    picture: Picture
    note: str


@for_everyone
@require_GET
def by_month(request: HttpRequest) -> HttpResponse:
    """The last twelve months."""
    found = _numbers(request)
    context = {
        "found": found,
        "drawn": _drawn(found.months),
        "sellers": found.sellers[:SELLERS_MOST],
        "late": sum(count for _, count in found.reasons),
    }
    return render(request, "orders/numbers.html", context)


@for_everyone
@require_GET
def months_file(request: HttpRequest) -> HttpResponse:
    """The months as CSV."""
    headings = (
        "month", "orders shipped", "on time", "on time percent", "days from order to parcel",
        "pieces shipped", "pieces made", "hours of hands", "pieces per hour of hands",
    )  # fmt: skip
    rows = (
        (
            f"{month.first:%Y-%m}", month.shipped, month.on_time, month.on_time_percent, month.days,
            month.pieces_shipped, month.pieces_made, round(month.hours, 2), _rounded(month.per_hour),
        )
        for month in _numbers(request).months
    )  # fmt: skip
    return _file("numbers-by-month.csv", headings, rows)


@for_everyone
@require_GET
def reasons_file(request: HttpRequest) -> HttpResponse:
    """Why orders were late, as CSV."""
    return _file("late-orders.csv", ("why", "orders"), _numbers(request).reasons)


@for_everyone
@require_GET
def sellers_file(request: HttpRequest) -> HttpResponse:
    """What sells, month by month, as CSV."""
    found = _numbers(request)
    headings = ("article", "colour", "pieces", *(f"{month.first:%Y-%m}" for month in found.months))
    rows = ((one.article, one.colour, one.pieces, *one.by_month) for one in found.sellers)
    return _file("best-sellers.csv", headings, rows)


def _numbers(request: HttpRequest) -> Numbers:
    studio = request.studio
    return numbers(now=studio.now(), hours=studio.hours, hours_before=studio.hours_before)


def _drawn(months: Sequence[Month]) -> list[Drawn]:
    """The four numbers that have a value for each month."""

    def drawn(heading: str, note: str, value: Callable[[Month], float | None], unit: str) -> Drawn:
        values = [(month, value(month)) for month in months]
        known = [(month, one) for month, one in values if one is not None]
        highest = max((one for _, one in known), default=0)
        spoken = ", ".join(f"{month.first:%b %Y} {one:g}{unit}" for month, one in known) or "nothing yet"
        bars = [(f"{month.first:%b}", round(100 * (one or 0))) for month, one in values]
        facts = BarsFacts(f"{heading} by month: {spoken}", bars, f"{highest:g}{unit}")
        return Drawn(heading, bars_picture(facts), note)

    return [
        drawn("On time", "Orders that left in full by their day.", lambda one: one.on_time_percent, " %"),
        drawn("Days from order to parcel", "Half of the orders took less.", lambda one: one.days, " d"),
        drawn("Orders shipped", "That left in full.", lambda one: one.shipped, ""),
        drawn(
            "Pieces per hour of hands",
            "Good pieces out of the mould, by all hours with hands in from the first pour on, as Studio had"
            " them at the time: packing and the market count too.",
            lambda one: _rounded(one.per_hour),
            "",
        ),
    ]


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _file(name: str, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    answer = HttpResponse(csv_text(headings, rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
