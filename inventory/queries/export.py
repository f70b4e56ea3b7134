"""The whole ledger, row by row, for a file that can be kept and checked without the studio."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from inventory.arithmetic.ledger_file import FORM, ledger_lines
from inventory.models import Act, Entry, Holding, Lot, Place, Posting
from inventory.queries.snapshot import one_snapshot

ROWS_AT_ONCE = 2000
Row = dict[str, Any]


def exported_ledger(form: str, *, now: datetime, currency: str) -> Iterator[str]:
    """Every line of the ledger as a file of this form ("csv" or "jsonl"), as it is at this moment.

    Five queries read as they are asked for, in one view of the tables: what is kept in memory grows with the
    lots and tubs, not with the years. Prices are in it.
    """
    with one_snapshot():
        yield from ledger_lines(_rows(now, currency), form)


def _rows(now: datetime, currency: str) -> Iterator[Row]:
    yield {"row": "ledger", "form": FORM, "written_at": _utc(now), "currency": currency}
    places: dict[int, str] = {}
    rows = Place.objects.order_by("pk").values_list(
        "pk", "kind", "container__code", "container__material__name", "container__material__unit"
    )
    for key, kind, code, material, unit in rows:
        places[key] = code or kind
        yield {"row": "place", "place": places[key], "kind": kind, "material": material, "unit": unit}
    lots: dict[int, str] = {}
    for lot in Lot.objects.order_by("pk").select_related("material", "supplier").iterator(ROWS_AT_ONCE):
        lots[lot.pk] = lot.code
        yield _lot_row(lot)
    yield from _postings(lots, places)
    held = Holding.objects.order_by("pk").values_list("place_id", "lot_id", "amount")
    for place, lot_id, amount in held.iterator(ROWS_AT_ONCE):
        yield {"row": "holding", "place": places[place], "lot": lots[lot_id], "amount": amount}


def _lot_row(lot: Lot) -> Row:
    return {
        "row": "lot",
        "lot": lot.code,
        "material": lot.material.name,
        "unit": lot.material.unit,
        "amount": lot.amount,
        "supplier": lot.supplier.name if lot.supplier else None,
        "supplier_lot": lot.supplier_lot or None,
        "received_on": lot.received_on.isoformat(),
        "best_before": lot.best_before.isoformat() if lot.best_before else None,
        "price_minor": lot.price_minor,
    }


def _postings(lots: dict[int, str], places: dict[int, str]) -> Iterator[Row]:
    """Each posting, then its entries: two readers that go through the ledger side by side."""
    entries = Entry.objects.order_by("posting_id", "pk").values_list(
        "posting_id", "pk", "lot_id", "source_id", "destination_id", "amount"
    )
    by_posting = groupby(entries.iterator(ROWS_AT_ONCE), key=itemgetter(0))
    waiting = next(by_posting, None)
    for posting in _posting_rows().iterator(ROWS_AT_ONCE):
        yield {
            "row": "posting",
            "posting": posting["pk"],
            "kind": posting["kind"],
            "happened_at": _utc(posting["happened_at"]),
            "recorded_at": _utc(posting["recorded_at"]),
            "by": posting["by__username"],
            "reason": posting["reason"] or None,
            "request_key": str(posting["request_key"]),
            "act": posting["act"],
            "said": posting["said"],
            "reverses": posting["reverses_id"],
        }
        if waiting is None or waiting[0] != posting["pk"]:
            continue
        for posting_id, key, lot, source, destination, amount in waiting[1]:
            yield {
                "row": "entry",
                "posting": posting_id,
                "entry": key,
                "lot": lots[lot],
                "source": places[source],
                "destination": places[destination],
                "amount": amount,
            }
        waiting = next(by_posting, None)


def _posting_rows() -> QuerySet[Any, Row]:
    of_act = Act.objects.filter(request_key=OuterRef("request_key"))
    return (
        Posting.objects.order_by("pk")
        .annotate(act=Subquery(of_act.values("name")[:1]), said=Subquery(of_act.values("said")[:1]))
        .values(
            "pk",
            "kind",
            "happened_at",
            "recorded_at",
            "by__username",
            "reason",
            "request_key",
            "act",
            "said",
            "reverses_id",
        )
    )


def _utc(instant: datetime) -> str:
    return instant.isoformat().replace("+00:00", "Z")
