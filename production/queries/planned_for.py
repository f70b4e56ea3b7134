"""What the newest plan still means to pour for somebody, and what is in the making for them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from production.models import Cast, Outcome, PlannedCast
from production.queries.needs import weights_of_planned
from production.queries.progress import planned_mixes_ahead


@dataclass(frozen=True)
class PlannedFor:
    """Casts that are not poured yet, the powder they take, and when; and casts that are poured already.

    `powder_mg` is the casts' share of their mixes by volume.
    """

    casts: int
    powder_mg: int
    starts_at: tuple[datetime, ...]
    in_moulds: int


def planned_for(wanted_by: Collection[str]) -> PlannedFor:
    """What the newest plan and the moulds hold for these demands. Four queries, none for nobody."""
    if not wanted_by:
        return PlannedFor(0, 0, (), 0)
    ids = set(
        PlannedCast.objects.filter(line__wanted_by__in=wanted_by, planned_mix__mix__isnull=True).values_list(
            "planned_mix", flat=True
        )
    )
    mixes = [mix for mix in planned_mixes_ahead() if mix.pk in ids]
    casts, powder_mg = 0, 0.0
    for weighed in weights_of_planned(mixes):
        mine = [cast for cast in weighed.casts if cast.line.wanted_by in wanted_by]
        casts += sum(cast.quantity for cast in mine)
        whole = _volume(weighed.casts)
        if weighed.weights and whole:
            powder_mg += weighed.weights.powder_mg * _volume(mine) / whole
    poured = Cast.objects.filter(
        wanted_by__in=wanted_by, piece__isnull=True, left_out_at__isnull=True, mix__undone_at__isnull=True
    ).exclude(outcome=Outcome.SCRAP)
    return PlannedFor(casts, round(powder_mg), tuple(mix.starts_at for mix in mixes), poured.count())


def _volume(casts: Collection[PlannedCast]) -> int:
    return sum((cast.mould.volume_ul or 0) * cast.quantity for cast in casts)
