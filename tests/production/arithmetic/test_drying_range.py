"""How sure the dry time is."""

from __future__ import annotations

import math
import random

import numpy
import pytest
from scipy.optimize import approx_fprime, curve_fit
from scipy.stats import t as student

from production.arithmetic.drying import DryingFit, DryingNotFitted, Weighing, dry_at_hours, fit_drying
from production.arithmetic.drying_range import dry_time_half_width

# The worked casting: dry 1000 g, 200 g of free water, rate 0.03 per hour; dry after 178.35 h.
DRY_AFTER = 178.35


def curve(hours: object, dry: float, excess: float, rate: float) -> object:
    return dry + excess * numpy.exp(-rate * numpy.asarray(hours))


def noisy(hours: list[float], noise_g: float, seed: int) -> list[Weighing]:
    rng = random.Random(seed)
    return [
        Weighing(at, round(1_000_000 + 200_000 * math.exp(-0.03 * at) + 1000 * rng.gauss(0, noise_g)))
        for at in hours
    ]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_range_is_that_of_the_reference_library_on_noise(seed: int) -> None:
    """Source: `scipy.optimize.curve_fit` (covariance), `approx_fprime`, `scipy.stats.t`."""
    hours = [0.0, 12.0, 25.0, 49.0, 73.0, 96.0, 121.0]
    weighings = noisy(hours, 0.5, seed)
    fit = fit_drying(weighings)

    half = dry_time_half_width(fit, weighings, scale_step_mg=100)

    masses = [one.mass_mg / 1000 for one in weighings]
    figures, covariance = curve_fit(curve, hours, masses, p0=(1000, 200, 0.03), xtol=1e-12, ftol=1e-12)
    slopes = approx_fprime(
        figures, lambda at: dry_at_hours(DryingFit(1000 * at[0], 1000 * at[1], at[2])), 1e-6 * figures
    )
    expected = student.ppf(0.975, len(hours) - 3) * math.sqrt(slopes @ covariance @ slopes)
    assert half == pytest.approx(expected, rel=0.01)


def test_three_weighings_know_only_the_step_of_the_scale() -> None:
    """Source: `curve_fit` with sigma d/sqrt(12) = 0.02887 g for a scale of 0.1 g, absolute."""
    hours = [0.0, 24.0, 48.0]
    weighings = noisy(hours, 0.0, 0)
    fit = fit_drying(weighings)

    half = dry_time_half_width(fit, weighings, scale_step_mg=100)

    figures, covariance = curve_fit(
        curve, hours, [one.mass_mg / 1000 for one in weighings], p0=(1000, 200, 0.03),
        sigma=[0.1 / math.sqrt(12)] * 3, absolute_sigma=True,
    )  # fmt: skip
    slopes = approx_fprime(
        figures, lambda at: dry_at_hours(DryingFit(1000 * at[0], 1000 * at[1], at[2])), 1e-6 * figures
    )
    assert half == pytest.approx(1.96 * math.sqrt(slopes @ covariance @ slopes), rel=0.01)
    assert half == pytest.approx(0.4, abs=0.3)


def test_the_true_dry_time_lies_within_the_range_about_nineteen_times_of_twenty() -> None:
    """Made-up noise of 0.3 g on the worked casting, 150 times with set seeds."""
    hours = [0.0, 12.0, 24.0, 36.0, 60.0, 84.0]
    within = 0
    for seed in range(150):
        weighings = noisy(hours, 0.3, seed)
        fit = fit_drying(weighings)
        half = dry_time_half_width(fit, weighings, scale_step_mg=100)
        assert half is not None
        within += abs(dry_at_hours(fit) - DRY_AFTER) <= half

    assert 0.90 <= within / 150 <= 0.99


def test_more_weighings_and_a_finer_scale_narrow_it() -> None:
    few, many = noisy([0, 12, 24], 0, 0), noisy([0, 12, 24, 48, 72], 0, 0)

    coarse, fine, longer = (
        dry_time_half_width(fit_drying(some), some, scale_step_mg=step) or math.inf
        for some, step in ((few, 1000), (few, 100), (many, 100))
    )

    assert coarse == pytest.approx(10 * fine)
    assert longer < fine


def test_where_the_loss_hardly_slows_nobody_can_say() -> None:
    hours = [0.0, 1.0, 2.0, 3.0]
    weighings = [Weighing(at, round(1_000_000 - 1000 * at + 15 * at * at)) for at in hours]
    try:
        fit = fit_drying(weighings)
    except DryingNotFitted:
        pytest.fail("the made-up weighings should make a curve")

    assert dry_time_half_width(fit, weighings, scale_step_mg=1000) is None
