"""What can be promised while an order is typed: the earliest day, and what an earlier one would push back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_GET

from inventory.roles import for_everyone
from orders.arithmetic.reading.cells import QUANTITY_MOST
from orders.demand import TYPED, demand_with_typed
from orders.forms import ROWS_MOST
from production.queries.offered import articles_offered
from production.queries.problem import build_problem
from production.queries.promises import DayPromised, earliest_days, insisted_words

Row = tuple[int, int, int]


@dataclass(frozen=True)
class RowPromised:
    """A typed row, and the day it can leave."""

    what: str
    leaves_on: date | None


@for_everyone
@require_GET
def promise(request: HttpRequest) -> HttpResponse:
    """The earliest day for what is typed so far."""
    names = {
        (article.id, colour.id): f"{article.name}, {colour.name}"
        for article in articles_offered()
        for colour in article.colours
    }
    rows = [row for row in _rows(request.GET) if row[:2] in names]
    context: dict[str, object] = {}
    if rows:
        found, words = reckoned(
            request,
            rows,
            asked=_day(request.GET.get("ship_by", "")),
            is_market=request.GET.get("kind") == "market",
            instead_of=request.GET.get("instead_of", ""),
        )
        context = {
            "rows": [
                RowPromised(f"{count} {names[article, colour]}", found.leaves_on[f"{TYPED}{number}"])
                for number, (article, colour, count) in enumerate(rows, start=1)
            ],
            "earliest": found.all_leave_on,
            "limit": found.limit,
            "insisted": words,
        }
    return render(request, "orders/_promise.html", context)


def reckoned(
    request: HttpRequest, rows: list[Row], *, asked: date | None, is_market: bool, instead_of: str
) -> tuple[DayPromised, str]:
    """The earliest days for these rows, and what insisting on the day asked for means, "" when none is."""
    studio, now = request.studio, request.studio.now()
    today = studio.local(now).date()
    demand = demand_with_typed(
        rows, ship_by=max(asked or today, today), is_market=is_market, instead_of=instead_of, today=today
    )
    task = build_problem(demand, now=now, hours=studio.hours, facts=studio.facts)
    new = {f"{TYPED}{number}" for number in range(1, len(rows) + 1)}
    found = earliest_days(task, new)
    if asked is None or asked < today:
        return found, ""
    earliest = found.all_leave_on
    if earliest is not None and earliest <= asked:
        return found, f"{asked:%a} {asked.day} can be kept."
    return found, insisted_words(task, new, asked)


def _rows(typed: QueryDict) -> list[Row]:
    """The rows that are whole so far; what is half typed is left out."""
    found = []
    for number in range(1, ROWS_MOST + 1):
        what, count = typed.get(f"what_{number}", ""), typed.get(f"count_{number}", "").strip()
        article, _, colour = what.partition(":")
        if (
            article.isdecimal()
            and colour.isdecimal()
            and count.isdecimal()
            and 0 < int(count) <= QUANTITY_MOST
        ):
            found.append((int(article), int(colour), int(count)))
    return found


def _day(typed: str) -> date | None:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        return None
