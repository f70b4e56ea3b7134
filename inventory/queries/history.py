"""What happened to a tub or a lot, the latest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Case, F, Q, QuerySet, Sum, When

from inventory.models import Act, Entry, Posting

PAGE_ROWS = 50


@dataclass(frozen=True)
class HistoryRow:
    """One posting as a tub or lot saw it: `change` and what was held after it (thousandths).

    `said` is the sentence of the act; `act_id` names it, None where no act is recorded.
    """

    posting_id: int
    happened_at: datetime
    kind: str
    reason: str
    said: str
    change: int
    holds: int
    by: str
    act_id: int | None
    act_name: str
    is_undone: bool
    is_undoing: bool


@dataclass(frozen=True)
class History:
    """A page of rows, and the posting before which the earlier ones are found."""

    rows: tuple[HistoryRow, ...]
    earlier_before: int | None


@dataclass(frozen=True)
class LotMove:
    """One entry of a lot: when and why so much (thousandths) went from one place to another, and who did it.

    Facts of a step in a chain: who, what, where, when, why (ISO 22005, one step back and one step forward).
    """

    happened_at: datetime
    kind: str
    reason: str
    amount: int
    source: str
    destination: str
    by: str


def tub_history(place_id: int, held: int, *, before: int | None = None) -> History:
    """What went into and out of a container, fifty postings at a time.

    Parameters: `held` what it holds now (thousandths), from which the balances are reckoned back; `before`
    the posting id from `earlier_before`. Six queries at most, however long the history.
    """
    entries = Entry.objects.filter(Q(source=place_id) | Q(destination=place_id))
    changed = Sum(Case(When(destination=place_id, then=F("amount")), default=-F("amount")))
    if before is not None:
        held -= entries.filter(posting__gte=before).aggregate(later=changed)["later"] or 0
    latest = _latest_postings(place_id, before)
    sums = list(
        entries.filter(posting__in=latest)
        .values_list("posting")
        .annotate(change=changed)
        .order_by("-posting")
    )
    page = sums[:PAGE_ROWS]
    postings = _postings([posting_id for posting_id, _ in page])
    acts = _acts(postings.values())
    rows = []
    for posting_id, change in page:
        rows.append(_row(postings[posting_id], acts, change, held))
        held -= change
    more = len(sums) > PAGE_ROWS
    return History(tuple(rows), page[-1][0] if more else None)


def lot_moves(lot_id: int, *, before: int | None = None) -> tuple[list[LotMove], int | None]:
    """The entries of a lot, fifty at a time, and the entry before which the earlier ones are. One query."""
    entries = (
        Entry.objects.filter(lot=lot_id)
        .select_related("posting__by", "source__container", "destination__container")
        .order_by("-pk")
    )
    if before is not None:
        entries = entries.filter(pk__lt=before)
    found = list(entries[: PAGE_ROWS + 1])
    moves = [
        LotMove(
            happened_at=entry.posting.happened_at,
            kind=entry.posting.get_kind_display(),
            reason=entry.posting.reason,
            amount=entry.amount,
            source=_place_name(entry.source),
            destination=_place_name(entry.destination),
            by=entry.posting.by.get_username() if entry.posting.by else "",
        )
        for entry in found[:PAGE_ROWS]
    ]
    return moves, found[PAGE_ROWS - 1].pk if len(found) > PAGE_ROWS else None


def _latest_postings(place_id: int, before: int | None) -> list[int]:
    """The numbers of the last postings of a place, one more than a page, the latest first.

    One query for each side: each reads the end of its index, where a condition on either side at once would
    read everything that ever happened there.
    """
    found: set[int] = set()
    for side in ("source", "destination"):
        entries = Entry.objects.filter(**{side: place_id})
        if before is not None:
            entries = entries.filter(posting__lt=before)
        ids = entries.order_by("-posting").values_list("posting", flat=True).distinct()
        found.update(ids[: PAGE_ROWS + 1])
    return sorted(found, reverse=True)[: PAGE_ROWS + 1]


def _place_name(place: object) -> str:
    container = getattr(place, "container", None)
    return container.code if container else str(place)


def _postings(ids: list[int]) -> dict[int, Posting]:
    rows: QuerySet[Posting] = Posting.objects.filter(pk__in=ids).select_related("by", "reversed_by")
    return {posting.pk: posting for posting in rows}


def _acts(postings: object) -> dict[object, Act]:
    keys = {posting.request_key for posting in postings}  # type: ignore[attr-defined]
    return {act.request_key: act for act in Act.objects.filter(request_key__in=keys)}


def _row(posting: Posting, acts: dict[object, Act], change: int, holds: int) -> HistoryRow:
    act = acts.get(posting.request_key)
    return HistoryRow(
        posting_id=posting.pk,
        happened_at=posting.happened_at,
        kind=posting.get_kind_display(),
        reason=posting.reason,
        said=act.said if act else "",
        change=change,
        holds=holds,
        by=posting.by.get_username() if posting.by else "",
        act_id=act.pk if act else None,
        act_name=act.name if act else "",
        is_undone=hasattr(posting, "reversed_by"),
        is_undoing=posting.reverses_id is not None,
    )
