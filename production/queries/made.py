"""What was made, month by month, and what went wrong for whom."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from django.db.models import Case, Count, IntegerField, Min, Value, When

from production.models import Cast, Mix, Outcome, Piece, PlannedLine


def month_of(field: str, starts: Sequence[datetime]) -> Case:
    """Which of these months a time not before the first of them is in, by its place; for annotating.

    By comparing only: taking months from a time costs SQLite a call of Python for each row.
    """
    places = reversed(list(enumerate(starts)))
    return Case(
        *(When(**{f"{field}__gte": start}, then=Value(place)) for place, start in places),
        output_field=IntegerField(),
    )


def pieces_made(starts: Sequence[datetime]) -> dict[int, int]:
    """Good pieces out of their moulds in each of these months, by its place. One query."""
    rows = (
        Piece.objects.filter(out_at__gte=starts[0], outcome=Outcome.GOOD, undone_at__isnull=True)
        .annotate(month=month_of("out_at", starts))
        .values_list("month")
        .annotate(count=Count("id"))
        .order_by("month")
    )
    return dict(rows)


def first_poured_at() -> datetime | None:
    """When the first mix of all was poured, None before it. One query."""
    first: datetime | None = Mix.objects.filter(undone_at__isnull=True).aggregate(at=Min("poured_at"))["at"]
    return first


def came_out_badly(wanted_by: Collection[str]) -> set[str]:
    """Those of these demands that a cast or piece was scrap or a second for. Two queries."""
    bad = (Outcome.SCRAP, Outcome.SECOND)
    casts = Cast.objects.filter(wanted_by__in=wanted_by, outcome__in=bad, mix__undone_at__isnull=True)
    pieces = Piece.objects.filter(wanted_by__in=wanted_by, outcome__in=bad, undone_at__isnull=True)
    return {*casts.values_list("wanted_by", flat=True), *pieces.values_list("wanted_by", flat=True)}


def held_back(wanted_by: Collection[str]) -> dict[str, str]:
    """What held these demands in the last plan that had them late: "mould", "hands", "powder". One query."""
    rows = PlannedLine.objects.filter(wanted_by__in=wanted_by, days_late__gt=0).exclude(held_by="")
    return dict(rows.order_by("plan", "board").values_list("wanted_by", "held_by"))
