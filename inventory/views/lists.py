"""The lists of the stores: sorted, narrowed, paged, and as a CSV file of what is shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect, render

from inventory.answers import refuse
from inventory.arithmetic.csv_writing import csv_lines
from inventory.errors import StudioError
from inventory.queries import lists as rows
from inventory.roles import for_everyone, is_owner
from inventory.tables import filters, lists
from inventory.tables.columns import StoresTable

ROWS_MOST = 100


@dataclass(frozen=True)
class StoresList:
    """One list: what it is called, its table, its rows and what narrows it."""

    heading: str
    table: type[StoresTable]
    rows: Callable[..., QuerySet]
    narrowing: type[filters.Narrowing]


LISTS = {
    "materials": StoresList(
        "Materials", lists.MaterialsTable, rows.material_rows, filters.MaterialsNarrowing
    ),
    "tubs": StoresList("Tubs", lists.TubsTable, rows.tub_rows, filters.TubsNarrowing),
    "lots": StoresList("Lots", lists.LotsTable, rows.lot_rows, filters.LotsNarrowing),
    "ledger": StoresList("What happened", lists.LedgerTable, rows.ledger_rows, filters.LedgerNarrowing),
    "deliveries": StoresList(
        "Deliveries", lists.DeliveriesTable, rows.delivery_rows, filters.DeliveriesNarrowing
    ),
    "suppliers": StoresList(
        "Suppliers", lists.SuppliersTable, rows.supplier_rows, filters.SuppliersNarrowing
    ),
}


@for_everyone
def tubs_page(request: HttpRequest) -> HttpResponseBase:
    """Every tub."""
    return stores_list(request, "tubs")


@for_everyone
def stores_list(request: HttpRequest, name: str) -> HttpResponseBase:
    """One of the lists; with `csv` in the address as a file of every row that is left."""
    chosen = LISTS.get(name)
    if chosen is None:
        refuse(request, StudioError("There is no such list. Choose one of these."))
        return redirect("inventory:tubs")
    today = request.studio.local(request.studio.now()).date()
    form = chosen.narrowing(request.GET, today=today)
    table = chosen.table(
        chosen.rows(**form.content()),
        currency=request.studio.facts.currency,
        with_prices=is_owner(request.user),
        order_by=request.GET.getlist("sort") or None,
        request=request,
    )
    if "csv" in request.GET:
        return csv_answer(table, f"{name} {today}.csv")
    paginate(table, request.GET.get("page", ""))
    context = {
        "table": table,
        "form": form,
        "heading": chosen.heading,
        "name": name,
        "lists": [(key, one.heading) for key, one in LISTS.items()],
        "narrowed": any(request.GET.get(field) for field in form.fields),
        "is_owner": is_owner(request.user),
    }
    return render(request, "inventory/list.html", context)


def csv_answer(table: StoresTable, filename: str) -> StreamingHttpResponse:
    """Line by line, so that a long list is not held at once."""
    answer = StreamingHttpResponse(csv_lines(table.csv_rows()), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def paginate(table: StoresTable, asked: str) -> None:
    """The page asked for, the first for nonsense, the last for one behind it."""
    table.paginate(per_page=ROWS_MOST)
    table.page = table.paginator.get_page(asked)
