"""How dry a casting is by its weight, and when it will be."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import fmean

from inventory.errors import StudioError

DRY_CHANGE_PART = 0.001
DRY_CHANGE_HOURS = 24.0
# Common practice, no source: the 0.1 % rule alone is met by slow castings that still hold 2 % of free water.
FREE_WATER_PART = 0.01

_EVEN_SPACING = 1e-6
_GRID_STEPS = 80
_GOLDEN = (math.sqrt(5) - 1) / 2
_GOLDEN_STEPS = 90


class DryingNotFitted(StudioError):
    """The weighings do not yet tell a drying curve; facts `reason`, `count`."""


@dataclass(frozen=True)
class Weighing:
    """One weighing: `hours` since some fixed moment (elapsed, not clock time), `mass_mg` of the casting."""

    hours: float
    mass_mg: int


@dataclass(frozen=True)
class DryingFit:
    """m(t) = dry + excess exp(-rate t), masses in mg, t in hours from the weighings' own zero."""

    dry_mg: float
    excess_mg: float
    rate_per_hour: float

    @property
    def tau_hours(self) -> float:
        """The hours in which the free water falls to 37 %."""
        return 1 / self.rate_per_hour

    def mass_at(self, hours: float) -> float:
        """The mass in mg at a time."""
        return self.dry_mg + self.excess_mg * math.exp(-self.rate_per_hour * hours)

    def free_water_at(self, hours: float) -> float:
        """The free water at a time, as part of the dry mass."""
        return self.mass_at(hours) / self.dry_mg - 1


def expected_dry_mg(powder_mg: int, water_mg: int, *, bound_water_ratio: float, pigment_mg: int = 0) -> float:
    """Give the mass in mg of what was mixed once its excess water has left; bound water stays.

    `bound_water_ratio` mass of water bound per mass of powder; no more is bound than was mixed in.

    Source: stoichiometry, see `gypsum.py`.
    """
    return powder_mg + min(powder_mg * bound_water_ratio, water_mg) + pigment_mg


def water_left_at(hours: float, tau_hours: float) -> float:
    """Give the part of the excess water still in a casting, 1 when it comes out of the mould, falling to 0.

    Source: first-order drying, exp(-t / tau). Real castings dry more slowly towards the end (Seck et al., J.
    Materials Science 50 (2015) 2491-2501), so this is a picture and a forecast, never the proof of dryness.
    """
    return 1.0 if hours <= 0 else math.exp(-hours / tau_hours)


def tau_from_drying_hours(
    drying_hours: float, excess_part: float, free_water_part: float = FREE_WATER_PART
) -> float:
    """Give the tau in hours of a casting that is dry after `drying_hours`, for want of weighings.

    `excess_part` the free water at the start as part of the dry mass, above `free_water_part`, which counts
    as dry.
    """
    if drying_hours <= 0 or not 0 < free_water_part < excess_part:
        raise ValueError("drying takes time, and starts wetter than it ends")
    return drying_hours / math.log(excess_part / free_water_part)


def fit_drying(weighings: Sequence[Weighing]) -> DryingFit:
    """Fit the drying curve to three or more weighings.

    Three at even spacing are solved in closed form; otherwise least squares: for each rate the best straight
    line of mass against exp(-rate t), and the rate with the least squares by golden section.

    Raises: DryingNotFitted for fewer than three different times, and when the loss does not slow down yet.

    Source: m(t) = m_dry + A exp(-k t); for three weighings d apart m_dry = (m1 m3 - m2^2) / (m1 + m3 - 2 m2)
    and k = ln((m1 - m2) / (m2 - m3)) / d.
    """
    ordered = sorted(weighings, key=lambda weighing: weighing.hours)
    if len({weighing.hours for weighing in ordered}) < 3:
        raise DryingNotFitted(
            "Three weighings tell the dry day. Weigh once more.", reason="too few", count=len(ordered)
        )
    if len(ordered) == 3 and _is_even(ordered):
        return _closed_form(ordered)
    return _least_squares(ordered)


def _is_even(ordered: Sequence[Weighing]) -> bool:
    first, second = ordered[1].hours - ordered[0].hours, ordered[2].hours - ordered[1].hours
    return abs(first - second) <= _EVEN_SPACING * (first + second)


def _not_slowing(count: int) -> DryingNotFitted:
    return DryingNotFitted(
        "The loss does not slow down yet. Weigh again tomorrow.", reason="not slowing", count=count
    )


def _closed_form(ordered: Sequence[Weighing]) -> DryingFit:
    m1, m2, m3 = (float(weighing.mass_mg) for weighing in ordered)
    if not m1 - m2 > m2 - m3 > 0:
        raise _not_slowing(3)
    rate = math.log((m1 - m2) / (m2 - m3)) / (ordered[1].hours - ordered[0].hours)
    # Written from the differences: the textbook form subtracts two squares of nearly the same size.
    dry_mg = m3 - (m2 - m3) ** 2 / ((m1 - m2) - (m2 - m3))
    return DryingFit(dry_mg, (m1 - dry_mg) * math.exp(rate * ordered[0].hours), rate)


def _least_squares(ordered: Sequence[Weighing]) -> DryingFit:
    start = ordered[0].hours
    hours = [weighing.hours - start for weighing in ordered]
    masses = [float(weighing.mass_mg) for weighing in ordered]
    span = hours[-1]
    gap = min(later - earlier for earlier, later in zip(hours, hours[1:], strict=False) if later > earlier)

    def squares(log_rate: float) -> float:
        dry_mg, excess_mg = _line(hours, masses, math.exp(log_rate))
        rate = math.exp(log_rate)
        return math.fsum(
            (mass - dry_mg - excess_mg * math.exp(-rate * t)) ** 2
            for t, mass in zip(hours, masses, strict=True)
        )

    # From a curve that is all but straight over the weighings to one that is over before the second.
    low, high = math.log(0.01 / span), math.log(30 / gap)
    grid = [low + (high - low) * step / _GRID_STEPS for step in range(_GRID_STEPS + 1)]
    best = min(range(len(grid)), key=lambda index: squares(grid[index]))
    if best in (0, len(grid) - 1):
        raise _not_slowing(len(ordered))
    rate = math.exp(_golden_section(squares, grid[best - 1], grid[best + 1]))
    dry_mg, excess_mg = _line(hours, masses, rate)
    if excess_mg <= 0 or dry_mg <= 0:
        raise _not_slowing(len(ordered))
    return DryingFit(dry_mg, excess_mg * math.exp(rate * start), rate)


def _line(hours: Sequence[float], masses: Sequence[float], rate: float) -> tuple[float, float]:
    """Give the least-squares dry mass and excess for one rate."""
    left = [math.exp(-rate * t) for t in hours]
    mean_left, mean_mass = fmean(left), fmean(masses)
    spread = math.fsum((one - mean_left) ** 2 for one in left)
    excess_mg = (
        math.fsum((one - mean_left) * (mass - mean_mass) for one, mass in zip(left, masses, strict=True))
        / spread
    )
    return mean_mass - excess_mg * mean_left, excess_mg


def _golden_section(cost: Callable[[float], float], low: float, high: float) -> float:
    """Give where a function with one valley between `low` and `high` is least."""
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = cost(left), cost(right)
    for _ in range(_GOLDEN_STEPS):
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = cost(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = cost(right)
    return (low + high) / 2


def hours_when_steady(
    fit: DryingFit, *, change_part: float = DRY_CHANGE_PART, over_hours: float = DRY_CHANGE_HOURS
) -> float:
    """Give the hour (from the fit's zero) when the change over the last `over_hours` falls to `change_part`.

    Source: t = ln(A (exp(k D) - 1 - f) / (f m_dry)) / k.
    """
    k = fit.rate_per_hour
    numerator = fit.excess_mg * (math.expm1(k * over_hours) - change_part)
    if numerator <= 0:
        return -math.inf
    return math.log(numerator / (change_part * fit.dry_mg)) / k


def free_water_when_steady(
    rate_per_hour: float, *, change_part: float = DRY_CHANGE_PART, over_hours: float = DRY_CHANGE_HOURS
) -> float:
    """Give the free water, as part of the dry mass, that is still held at the moment the change rule is met.

    Source: f / (exp(k D) - 1), to the first order in f.
    """
    return change_part / math.expm1(rate_per_hour * over_hours)


def dry_at_hours(fit: DryingFit, *, free_water_part: float = FREE_WATER_PART) -> float:
    """Give the hour (from the fit's zero) at which both rules of dryness are met; never before zero."""
    little_water = math.log(fit.excess_mg / (free_water_part * fit.dry_mg)) / fit.rate_per_hour
    return max(0.0, hours_when_steady(fit), little_water)
