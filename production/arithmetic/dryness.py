"""Is this casting dry? The rule, applied to its weighings, and what is wrong with a weighing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.arithmetic.quantities import format_amount
from production.arithmetic.drying import (
    DRY_CHANGE_HOURS,
    DRY_CHANGE_PART,
    FREE_WATER_PART,
    DryingFit,
    DryingNotFitted,
    Weighing,
    dry_at_hours,
    fit_drying,
)

# More than this under the dry mass of its mix is a chip, another piece or a baked casting, not dryness.
FAULT_PART = 0.01
# A scale coarser than this part of the casting cannot show a change of 0.1 %.
SCALE_PART_MOST = 0.0005
# Two weighings alike may be one slip of the scale.
WEIGHINGS_LEAST = 3
# Weighings on the same hour of two days are rarely 24 h apart to the minute; the change is scaled to 24 h.
CHANGE_HOURS_LEAST = 23.0
# Two days without a step of the scale: even with a tau of two weeks (1 - exp(-46 / 336) = 0.13) a change of
# at most two steps, 0.1 % of the mass, then leaves under 0.8 % of free water.
STILL_HOURS_LEAST = 46.0

Fault = Literal["heavier", "lighter than dry"]


@dataclass(frozen=True)
class Dryness:
    """What the weighings say.

    `change_part` of the mass in the last 24 h, None before two weighings a day apart; `free_water_by_fit` and
    `free_water_by_mix` as parts of the dry mass, None when not known; `dry_at_hours` on the weighings' own
    clock, None before the curve can be told; `fault` a reading to look at; `sentence` says it.
    """

    is_dry: bool
    change_part: float | None
    free_water_by_fit: float | None
    free_water_by_mix: float | None
    dry_at_hours: float | None
    fault: Fault | None
    sentence: str


def judge_dryness(
    weighings: Sequence[Weighing], *, expected_dry_mg: float | None = None, scale_step_mg: int = 100
) -> Dryness:
    """Judge a casting by its weighings.

    Dry when of three weighings or more the last changed by less than 0.1 % in 24 h, *and* free water under
    1 % is left by the fit or by the mix's own dry mass. A reading heavier than the one before by more than
    the scale's step, or more than 1 % under the expected dry mass, is a fault and never dry.

    Parameters: weighings in any order, one at least; `expected_dry_mg` of this casting, None when the
    compound's bound water is not known; `scale_step_mg` the least the scale shows.

    Source: constant mass, ISO 12570 and 12571 (under 0.1 % over three consecutive weighings 24 h apart; the
    24 h from memory); here the last of them counts, and the second condition, which is common practice, no
    source, stands for the one before it.
    """
    ordered = sorted(weighings, key=lambda weighing: weighing.hours)
    if not ordered:
        raise ValueError("nothing was weighed")
    last = ordered[-1]
    fit = _fit_or_none(ordered)
    change = _change_part(ordered)
    by_fit = None if fit is None else last.mass_mg / fit.dry_mg - 1
    by_mix = None if expected_dry_mg is None else last.mass_mg / expected_dry_mg - 1
    known = [part for part in (by_fit, by_mix) if part is not None]
    is_steady = change is not None and abs(change) < DRY_CHANGE_PART and len(ordered) >= WEIGHINGS_LEAST
    has_little_water = _is_still(ordered, scale_step_mg) or any(part < FREE_WATER_PART for part in known)
    fault = _fault(ordered, by_mix, scale_step_mg)

    is_dry = False
    if fault is not None:
        sentence = _fault_sentence(ordered, fault, expected_dry_mg)
    elif scale_step_mg > SCALE_PART_MOST * last.mass_mg:
        sentence = _too_coarse(last.mass_mg, scale_step_mg)
    elif is_steady and has_little_water:
        is_dry = True
        lost = format_amount(round(abs(change or 0.0) * last.mass_mg), "g", places=1)
        sentence = f"Dry: {lost} in 24 h."
    elif is_steady and known:
        sentence = f"Not dry yet: it loses little, but still holds {100 * min(known):.1f} % water."
    else:
        sentence = _not_yet(len(ordered))
    return Dryness(
        is_dry=is_dry,
        change_part=change,
        free_water_by_fit=by_fit,
        free_water_by_mix=by_mix,
        dry_at_hours=None if fit is None else dry_at_hours(fit),
        fault=fault,
        sentence=sentence,
    )


def _fit_or_none(ordered: Sequence[Weighing]) -> DryingFit | None:
    try:
        return fit_drying(ordered)
    except DryingNotFitted:
        # Fewer than three weighings, or still at full speed: the mix's own dry mass has to do.
        return None


def _change_part(ordered: Sequence[Weighing]) -> float | None:
    """Give the loss over the last 24 h as part of the mass, from the latest weighing about a day back."""
    last = ordered[-1]
    earlier = [weighing for weighing in ordered if last.hours - weighing.hours >= CHANGE_HOURS_LEAST]
    if not earlier:
        return None
    before = earlier[-1]
    per_day = DRY_CHANGE_HOURS / (last.hours - before.hours)
    return (before.mass_mg - last.mass_mg) / last.mass_mg * per_day


def _fault(ordered: Sequence[Weighing], by_mix: float | None, scale_step_mg: int) -> Fault | None:
    if len(ordered) > 1 and ordered[-1].mass_mg - ordered[-2].mass_mg > scale_step_mg:
        return "heavier"
    if by_mix is not None and by_mix < -FAULT_PART:
        return "lighter than dry"
    return None


def _is_still(ordered: Sequence[Weighing], scale_step_mg: int) -> bool:
    """Tell whether the last two days' weighings, three at least, show no more than one step of the scale."""
    last = ordered[-1]
    starts = [place for place, one in enumerate(ordered) if last.hours - one.hours >= STILL_HOURS_LEAST]
    if not starts:
        return False
    masses = [weighing.mass_mg for weighing in ordered[starts[-1] :]]
    return len(masses) >= 3 and max(masses) - min(masses) <= scale_step_mg


def _fault_sentence(ordered: Sequence[Weighing], fault: Fault, expected_dry_mg: float | None) -> str:
    last = ordered[-1].mass_mg
    if fault == "heavier":
        more = format_amount(last - ordered[-2].mass_mg, "g", places=1)
        return f"Heavier than the last weighing by {more}. Same piece? Same scale?"
    mass, dry = (format_amount(round(mg), "g", places=0) for mg in (last, expected_dry_mg or 0))
    return f"{mass} is lighter than its mix can be when dry ({dry}). Chipped, or another piece?"


def _too_coarse(mass_mg: int, scale_step_mg: int) -> str:
    mass, step = format_amount(mass_mg, "g", places=0), format_amount(scale_step_mg, "g")
    return f"A scale that shows {step} is too coarse for {mass}. Weigh several pieces together."


def _not_yet(count: int) -> str:
    if count == 1:
        return "Not dry yet. Two more weighings and the dry day can be said."
    if count == 2:
        return "Not dry yet. One more weighing and the dry day can be said."
    return "Not dry yet."
