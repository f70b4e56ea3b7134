"""Whether the ledger in the database agrees with itself: holdings, lots, reversals, postings, acts."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from inventory.arithmetic.recount import (
    MOVES_NOTHING,
    NO_ACT,
    Fault,
    LotFacts,
    PlaceFacts,
    PostingFault,
    Recount,
)
from inventory.models import Act, Entry, Holding, Lot, Place, Posting
from inventory.queries.snapshot import one_snapshot

ROWS_AT_ONCE = 5000


@dataclass(frozen=True)
class Verified:
    """What was looked through, and every fault found, holdings first."""

    postings: int
    entries: int
    lots: int
    holdings: int
    faults: tuple[Fault, ...]


def verify_ledger() -> Verified:
    """Reckon the ledger anew from its entries and compare.

    Looked at: every holding is the sum of its entries and never was below zero; what came in of a lot is
    held, used, wasted or a difference; a tub has only its own material; a reversal is exactly what it
    reverses, once; every posting moves something and belongs to an act. Seven queries in one view of the
    tables, whatever people post meanwhile; what is kept in mind grows with lots and tubs, not with entries.
    """
    with one_snapshot():
        recount = Recount(
            lots={
                key: LotFacts(code, material, amount)
                for key, code, material, amount in Lot.objects.order_by("pk").values_list(
                    "pk", "code", "material_id", "amount"
                )
            },
            places=_places(),
            reversals=dict(
                Posting.objects.filter(reverses__isnull=False).order_by("pk").values_list("pk", "reverses_id")
            ),
        )
        entries = Entry.objects.order_by("posting_id", "pk").values_list(
            "posting_id", "lot_id", "source_id", "destination_id", "amount"
        )
        recount.take(entries.iterator(chunk_size=ROWS_AT_ONCE))
        holdings = {
            (lot, place): amount
            for lot, place, amount in Holding.objects.values_list("lot_id", "place_id", "amount")
        }
        faults = [*recount.faults(holdings), *_posting_faults(recount.postings_met)]
        return Verified(
            recount.postings_met, recount.entries_met, len(recount.lots), len(holdings), tuple(faults)
        )


def _places() -> dict[object, PlaceFacts]:
    rows = Place.objects.values_list("pk", "kind", "container__code", "container__material_id")
    return {key: PlaceFacts(kind, code or kind, material) for key, kind, code, material in rows}


def _posting_faults(met: int) -> list[Fault]:
    """Postings without entries, looked for only where there must be some, and postings without an act."""
    faults: list[Fault] = []
    if Posting.objects.count() != met:
        empty = Posting.objects.filter(entries__isnull=True).order_by("pk").values_list("pk", flat=True)
        faults += [PostingFault(posting, MOVES_NOTHING) for posting in empty]
    of_no_act = Posting.objects.filter(~Exists(Act.objects.filter(request_key=OuterRef("request_key"))))
    faults += [
        PostingFault(posting, NO_ACT)
        for posting in of_no_act.order_by("pk").values_list("pk", flat=True).iterator()
    ]
    return faults
