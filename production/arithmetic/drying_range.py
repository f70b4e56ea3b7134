"""How sure the dry time is that a few weighings tell."""

from __future__ import annotations

import math
from collections.abc import Sequence

from production.arithmetic.drying import DryingFit, Weighing, dry_at_hours
from production.arithmetic.water_volume import student_t95

# A curve has three figures of its own; so many weighings fit it exactly and tell nothing of their scatter.
FIGURES = 3
_NUDGE = 1e-4
# Beyond a month the curve says nothing that a studio could plan with.
SAID_HOURS_MOST = 24.0 * 31
Row = tuple[float, float, float]


def dry_time_half_width(fit: DryingFit, weighings: Sequence[Weighing], *, scale_step_mg: int) -> float | None:
    """Give the hours by which the dry time may be earlier or later, with 95 %; None where nobody can say.

    The scatter is that of the weighings about the curve, at least what the scale's step rounds away; with
    three weighings only the step is known. The model itself is taken as right: plaster dries more slowly at
    the end, so that the true time is late rather than early.

    Parameters: `fit` of these `weighings`, three at least; `scale_step_mg` the least the scale shows.

    Source: least squares, covariance s^2 (J'J)^-1 and its propagation, JCGM 100:2008 (GUM) 5.1.2 and F.1.2.4;
    rounding d/sqrt(12), F.2.2.1; Student's t, G.3.
    """
    rows = [_slopes(fit, weighing.hours) for weighing in weighings]
    covariance = _unscaled_covariance(rows)
    if covariance is None:
        return None
    gradient = _gradient(fit)
    spread = math.fsum(
        gradient[i] * covariance[i][j] * gradient[j] for i in range(FIGURES) for j in range(FIGURES)
    )
    scatter_mg, factor = _scatter(fit, weighings, scale_step_mg)
    half = factor * scatter_mg * math.sqrt(max(0.0, spread))
    return half if math.isfinite(half) and half <= SAID_HOURS_MOST else None


def _slopes(fit: DryingFit, hours: float) -> Row:
    """How the mass changes with dry mass, excess and rate."""
    left = math.exp(-fit.rate_per_hour * hours)
    return 1.0, left, -fit.excess_mg * hours * left


def _scatter(fit: DryingFit, weighings: Sequence[Weighing], scale_step_mg: int) -> tuple[float, float]:
    """The standard deviation of one weighing in mg, and the factor for 95 %."""
    step_mg = scale_step_mg / math.sqrt(12)
    freedom = len(weighings) - FIGURES
    if freedom < 1:
        return step_mg, student_t95(math.inf)
    squares = math.fsum((one.mass_mg - fit.mass_at(one.hours)) ** 2 for one in weighings)
    seen_mg = math.sqrt(squares / freedom)
    return max((seen_mg, student_t95(freedom)), (step_mg, student_t95(math.inf)), key=math.prod)


def _unscaled_covariance(rows: Sequence[Row]) -> list[list[float]] | None:
    """The inverse of J'J, its columns brought to one size first; None where it has none."""
    sizes = [math.sqrt(math.fsum(row[i] ** 2 for row in rows)) for i in range(FIGURES)]
    if not all(sizes):
        return None
    a = [
        [math.fsum(row[i] * row[j] for row in rows) / sizes[i] / sizes[j] for j in range(FIGURES)]
        for i in range(FIGURES)
    ]

    def minor(i: int, j: int) -> float:
        rest = [[a[r][c] for c in range(FIGURES) if c != j] for r in range(FIGURES) if r != i]
        return rest[0][0] * rest[1][1] - rest[0][1] * rest[1][0]

    determinant = math.fsum((-1) ** j * a[0][j] * minor(0, j) for j in range(FIGURES))
    if determinant <= 0:
        return None
    return [
        [(-1) ** (i + j) * minor(j, i) / determinant / sizes[i] / sizes[j] for j in range(FIGURES)]
        for i in range(FIGURES)
    ]


def _gradient(fit: DryingFit) -> Row:
    """How the dry time changes with dry mass, excess and rate, by small steps to both sides."""

    def slope(which: int) -> float:
        figures = [fit.dry_mg, fit.excess_mg, fit.rate_per_hour]
        nudge = figures[which] * _NUDGE
        above, below = list(figures), list(figures)
        above[which] += nudge
        below[which] -= nudge
        return (dry_at_hours(DryingFit(*above)) - dry_at_hours(DryingFit(*below))) / (2 * nudge)

    return slope(0), slope(1), slope(2)
