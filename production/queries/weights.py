"""What finished pieces weigh: for the sum on a parcel."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Prefetch

from production.models import Piece, StepDone, Weighing
from production.queries.drying_out import expected_dry_mg
from production.queries.progress import with_all_that_tells


def piece_weights(piece_ids: Iterable[int]) -> dict[int, int | None]:
    """What each piece weighs in mg: its last weighing, else its dry mass by the mix, and the wax since.

    None where neither is known. Liquids dry away and count nothing. Ten queries, however many.
    """
    done = StepDone.objects.filter(undone_at__isnull=True).prefetch_related("draws__material")
    pieces = with_all_that_tells(Piece.objects.filter(pk__in=list(piece_ids))).prefetch_related(
        Prefetch("done_steps", done)
    )
    return {piece.pk: _weight(piece) for piece in pieces}


def _weight(piece: Piece) -> int | None:
    readings: list[Weighing] = list(piece.weighings.all())
    base = readings[-1].mass_mg if readings else expected_dry_mg(piece)
    if base is None:
        return None
    since = readings[-1].weighed_at if readings else None
    return base + sum(
        draw.amount
        for done in piece.done_steps.all()
        for draw in done.draws.all()
        if draw.material.unit == "g" and (since is None or done.done_at > since)
    )
