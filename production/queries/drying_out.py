"""When pieces are dry: from their weighings where they were weighed, else from the compound's hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from production.models import Piece

WEIGHINGS_FOR_A_FIT = 3


@dataclass(frozen=True)
class DryingNow:
    """How a piece dries. `dry_at` may lie ahead; `readings` as (instant, mg).

    The first reading is the one out of the mould, if it was weighed. `told_by` says where `dry_at` comes
    from: "called", "weighed" or "hours".
    """

    dry_at: datetime
    told_by: str
    readings: tuple[tuple[datetime, int], ...]
    expected_dry_mg: int | None


def drying_now(pieces: Sequence[Piece], *, now: datetime) -> dict[int, DryingNow]:
    """How each piece dries, by piece id; from what `progress.with_all_that_tells` fetched. No query."""
    return {
        piece.pk: DryingNow(
            dry_at=piece.dry_called_at or dry_by_hours(piece),
            told_by="called" if piece.dry_called_at else "hours",
            readings=readings_of(piece),
            expected_dry_mg=None,
        )
        for piece in pieces
    }


def dry_by_hours(piece: Piece) -> datetime:
    """When the slowest of its compounds has had its hours, from the last part out of the mould."""
    hours = max((cast.part.compound.dry_hours for cast in piece.casts.all()), default=0)
    return piece.out_at + timedelta(hours=hours)


def readings_of(piece: Piece) -> tuple[tuple[datetime, int], ...]:
    """All weights of the piece in order of time, first its parts out of the mould if all were weighed."""
    kept = [(row.weighed_at, row.mass_mg) for row in piece.weighings.all()]
    out_mg = [cast.out_mg for cast in piece.casts.all()]
    if out_mg and all(out_mg):
        kept.insert(0, (piece.out_at, sum(mass for mass in out_mg if mass)))
    return tuple(kept)
