"""When pieces are dry: from their weighings where they were weighed, else from the compound's hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from production.arithmetic.drying import (
    DryingFit,
    DryingNotFitted,
    Weighing,
    dry_at_hours,
    fit_drying,
    tau_from_drying_hours,
)
from production.arithmetic.drying_range import dry_time_half_width
from production.arithmetic.dryness import Dryness, judge_dryness
from production.models import Cast, Piece

SCALE_STEP_MG = 100
# Without weighings and without a known start, a casting is drawn as if it lost a quarter of its mass.
EXCESS_PART_ASSUMED = 0.25
Readings = tuple[tuple[datetime, int], ...]


@dataclass(frozen=True)
class DryingNow:
    """How a piece dries; a group from one mix is told by the piece of it that was weighed.

    `told_by` says where `dry_at` comes from: "called", "weighed" or "hours". `readings` as (instant, mg), the
    first one out of the mould if it was weighed; `expected_dry_mg` by the mix, None when not known.
    `fit_dry_mg` and `fit_start_mg` are the curve's ends, None before three readings tell it. `half_hours` by
    which a dry time that the curve foretells may be earlier or later (95 %), None where it foretells none or
    nobody can say. `verdict` judges the readings, None before the first.
    """

    dry_at: datetime
    told_by: str
    readings: Readings
    expected_dry_mg: int | None
    tau_hours: float
    fit_dry_mg: int | None
    fit_start_mg: int | None
    verdict: Dryness | None
    weighed_piece_id: int | None
    half_hours: float | None = None

    @property
    def range_words(self) -> str:
        """How sure the dry time is: "give or take 5 h"; "" where it is no forecast or nobody can say."""
        if self.half_hours is None:
            return ""
        hours = max(1, ceil(self.half_hours))
        return f"give or take {f'{hours} h' if hours < 48 else f'{ceil(hours / 24)} d'}"


def drying_now(pieces: Sequence[Piece], *, now: datetime) -> dict[int, DryingNow]:
    """How each piece dries, by piece id; from what `progress.with_all_that_tells` fetched. No query.

    Pieces of one article from the same mixes age together: where one was weighed, its curve holds for all,
    unless they have readings of their own.
    """
    weighed: dict[tuple[int, int, tuple[int, ...]], Piece] = {}
    for piece in pieces:
        if piece.weighings.all():
            weighed.setdefault(group_key(piece), piece)
    found = {}
    for piece in pieces:
        teller = piece if piece.weighings.all() else weighed.get(group_key(piece), piece)
        found[piece.pk] = _drying(piece, teller, now)
    return found


def group_key(piece: Piece) -> tuple[int, int, tuple[int, ...]]:
    """What pieces share that age together: article, colour and mixes."""
    return piece.article_id, piece.colour_id, tuple(sorted({cast.mix_id for cast in piece.casts.all()}))


def dry_by_hours(piece: Piece) -> datetime:
    """When the slowest of its compounds has had its hours, from the last part out of the mould."""
    return piece.out_at + timedelta(hours=_compound_hours(piece))


def readings_of(piece: Piece) -> Readings:
    """All weights of the piece in order of time, first its parts out of the mould if all were weighed."""
    kept = [(row.weighed_at, row.mass_mg) for row in piece.weighings.all()]
    out_mg = [cast.out_mg for cast in piece.casts.all()]
    if out_mg and all(out_mg):
        kept.insert(0, (piece.out_at, sum(mass for mass in out_mg if mass)))
    return tuple(kept)


def expected_dry_mg(piece: Piece) -> int | None:
    """The mass of the piece once its excess water has left, by its mixes; None when a part's is not known.

    A part weighed out of the mould counts with what it weighed, else with what was to be filled in.
    """
    total = 0.0
    for cast in piece.casts.all():
        share = _dry_share(cast)
        if share is None:
            return None
        total += share * (cast.out_mg or cast.fill_mg)
    return round(total) or None


def weighings_for_arithmetic(readings: Readings) -> tuple[Weighing, ...]:
    """Readings with hours counted from the first, elapsed and not by the clock on the wall."""
    start = readings[0][0]
    return tuple(Weighing((at - start).total_seconds() / 3600, mass) for at, mass in readings)


def _drying(piece: Piece, teller: Piece, now: datetime) -> DryingNow:
    readings = readings_of(teller)
    expected = expected_dry_mg(teller)
    verdict, fit = None, None
    weighings = weighings_for_arithmetic(readings) if readings else ()
    if weighings:
        verdict = judge_dryness(weighings, expected_dry_mg=expected, scale_step_mg=SCALE_STEP_MG)
        fit = _fit_or_none(weighings)
    dry_at, told_by = _dry_at(piece, readings, verdict, fit)
    half_hours = None
    if fit and told_by == "weighed" and verdict and not verdict.is_dry:
        half_hours = dry_time_half_width(fit, weighings, scale_step_mg=SCALE_STEP_MG)
    hours = max(1.0, _compound_hours(piece))
    tau = fit.tau_hours if fit else tau_from_drying_hours(hours, EXCESS_PART_ASSUMED)
    return DryingNow(
        dry_at=dry_at,
        told_by=told_by,
        readings=readings,
        expected_dry_mg=expected,
        tau_hours=tau,
        fit_dry_mg=round(fit.dry_mg) if fit else None,
        fit_start_mg=round(fit.mass_at(0)) if fit else None,
        verdict=verdict,
        weighed_piece_id=teller.pk if teller.weighings.all() else None,
        half_hours=half_hours,
    )


def _dry_at(
    piece: Piece, readings: Readings, verdict: Dryness | None, fit: DryingFit | None
) -> tuple[datetime, str]:
    if piece.dry_called_at is not None:
        return piece.dry_called_at, "called"
    if verdict is None or len(readings) < 2 or verdict.fault:
        return dry_by_hours(piece), "hours"
    last_at = readings[-1][0]
    if verdict.is_dry:
        return last_at, "weighed"
    if fit is None:
        return dry_by_hours(piece), "hours"
    forecast = readings[0][0] + timedelta(hours=min(dry_at_hours(fit), 24.0 * 365))
    # The readings so far say not dry: whatever the curve says, it is not dry before the next one.
    return max(forecast, last_at + timedelta(hours=1)), "weighed"


def _fit_or_none(weighings: Sequence[Weighing]) -> DryingFit | None:
    try:
        return fit_drying(weighings)
    except DryingNotFitted:
        # Too few, or no slowing yet: the compound's own hours have to do.
        return None


def _compound_hours(piece: Piece) -> float:
    return max((cast.part.compound.dry_hours for cast in piece.casts.all()), default=0)


def _dry_share(cast: Cast) -> float | None:
    volume = cast.part.mould.volume_ul
    if not volume or not cast.mix.dry_mg_per_ul:
        return None
    return cast.mix.dry_mg_per_ul * volume / cast.fill_mg
