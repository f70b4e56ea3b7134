"""How dry a casting is by its weight, and when it will be."""

from __future__ import annotations

import math

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, curve_fit

from production.arithmetic.drying import (
    DryingFit,
    DryingNotFitted,
    Weighing,
    dry_at_hours,
    expected_dry_mg,
    fit_drying,
    free_water_when_steady,
    hours_when_steady,
    tau_from_drying_hours,
    water_left_at,
)

# The worked casting: dry 1000 g, 200 g of free water, rate 0.03 per hour.
WORKED = DryingFit(dry_mg=1_000_000, excess_mg=200_000, rate_per_hour=0.03)


def worked_mass_mg(hours: float) -> float:
    return 1_000_000 + 200_000 * math.exp(-0.03 * hours)


def weighed(hours: list[float], step_mg: int = 1) -> list[Weighing]:
    return [Weighing(t, round(worked_mass_mg(t) / step_mg) * step_mg) for t in hours]


def test_three_weighings_a_day_apart_give_the_curve_in_closed_form() -> None:
    """Source: m_dry = (m1 m3 - m2^2) / (m1 + m3 - 2 m2), worked here with masses of a made-up fine scale."""
    # In units of a millionth of a milligram, so that the masses are exact to ten figures.
    masses = [round(worked_mass_mg(t) * 1_000_000) for t in (0, 24, 48)]

    fit = fit_drying([Weighing(t, mass) for t, mass in zip((0, 24, 48), masses, strict=True)])

    assert fit.dry_mg / 1_000_000 == pytest.approx(1_000_000, abs=1e-3)
    assert fit.rate_per_hour == pytest.approx(0.03, abs=1e-9)


def test_readings_every_twelve_hours_give_back_the_worked_curve() -> None:
    """Source: m(t) = m_dry + A exp(-k t), worked here: m_dry 1000.000 g, k 0.030000 per hour."""
    fit = fit_drying(weighed([12.0 * n for n in range(8)]))

    assert fit.dry_mg / 1000 == pytest.approx(1000.000, abs=0.002)
    assert fit.excess_mg / 1000 == pytest.approx(200.000, abs=0.002)
    assert fit.rate_per_hour == pytest.approx(0.030000, abs=1e-6)
    assert fit.tau_hours == pytest.approx(33.333, abs=0.002)


def test_whole_gram_readings_give_the_dry_mass_to_a_gram_or_so() -> None:
    """Source: worked here: readings every 12 h rounded to a gram give 999.8 g, within 1.5 g."""
    fit = fit_drying(weighed([12.0 * n for n in range(8)], step_mg=1000))

    assert fit.dry_mg / 1000 == pytest.approx(999.8, abs=0.1)
    assert fit.dry_mg / 1000 == pytest.approx(1000.0, abs=1.5)


# Three readings fit exactly, so that the library has no spread to tell and says so.
@pytest.mark.filterwarnings("ignore:Covariance of the parameters")
@pytest.mark.parametrize("step_mg", [1, 100, 1000])
@pytest.mark.parametrize("hours", [[0, 7, 26, 31, 55, 80], [3, 10, 50, 51], [0, 10, 40]])
def test_uneven_weighings_are_fitted_like_the_reference_library(hours: list[float], step_mg: int) -> None:
    """Source: `scipy.optimize.curve_fit` on the same readings."""
    weighings = weighed(hours, step_mg)

    fit = fit_drying(weighings)

    (dry, excess, rate), _ = curve_fit(
        lambda t, m, a, k: m + a * numpy.exp(-k * t),
        hours,
        [weighing.mass_mg / 1000 for weighing in weighings],
        p0=(900, 300, 0.05),
        xtol=1e-12,
        ftol=1e-12,
    )
    assert fit.dry_mg / 1000 == pytest.approx(dry, rel=1e-6)
    assert fit.excess_mg / 1000 == pytest.approx(excess, rel=1e-4)
    assert fit.rate_per_hour == pytest.approx(rate, rel=1e-4)


@given(
    dry_g=st.floats(100, 3000),
    excess_part=st.floats(0.1, 0.5),
    rate=st.floats(0.01, 0.08),
    origin=st.floats(0, 30),
    gaps=st.lists(st.floats(8, 30), min_size=3, max_size=7),
)
def test_any_casting_is_found_again_from_fine_weighings(
    dry_g: float, excess_part: float, rate: float, origin: float, gaps: list[float]
) -> None:
    hours = [origin + sum(gaps[:n]) for n in range(len(gaps) + 1)]
    masses = [round(dry_g * 1e6 * (1 + excess_part * math.exp(-rate * t))) for t in hours]

    fit = fit_drying([Weighing(t, mass) for t, mass in zip(hours, masses, strict=True)])

    assert fit.rate_per_hour == pytest.approx(rate, rel=1e-3)
    assert fit.dry_mg == pytest.approx(dry_g * 1e6, rel=1e-4)


def test_the_order_of_the_weighings_does_not_matter() -> None:
    weighings = weighed([0, 12, 30, 50])

    assert fit_drying(weighings[::-1]) == fit_drying(weighings)


@pytest.mark.parametrize(
    ("masses_g", "reason"),
    [
        ([1200, 1100], "too few"),
        ([1200, 1100, 1000], "not slowing"),
        ([1200, 1150, 1000], "not slowing"),
        ([1000, 1000, 1000], "not slowing"),
        ([1000, 1010, 1015], "not slowing"),
        ([1200, 1100, 1000, 900], "not slowing"),
        ([1000, 1000, 1000, 1000], "not slowing"),
        ([1000, 1010, 1015, 1017], "not slowing"),
    ],
)
def test_weighings_that_tell_no_curve_are_refused(masses_g: list[int], reason: str) -> None:
    with pytest.raises(DryingNotFitted) as refused:
        fit_drying([Weighing(24 * n, mass * 1000) for n, mass in enumerate(masses_g)])

    assert refused.value.facts["reason"] == reason


def test_three_weighings_at_two_moments_are_too_few() -> None:
    with pytest.raises(DryingNotFitted):
        fit_drying([Weighing(0, 1200_000), Weighing(24, 1100_000), Weighing(24, 1100_000)])


def test_the_hour_when_the_day_change_is_a_thousandth() -> None:
    """Source: formula, worked here: 178.35 h; `scipy.optimize.brentq` on the curve itself."""

    def day_change(hours: float) -> float:
        return (worked_mass_mg(hours - 24) - worked_mass_mg(hours)) / worked_mass_mg(hours) - 0.001

    assert hours_when_steady(WORKED) == pytest.approx(178.35, abs=0.05)
    assert hours_when_steady(WORKED) == pytest.approx(brentq(day_change, 30, 400), abs=1e-6)


@pytest.mark.parametrize(
    ("rate", "left_percent"), [(0.03, 0.095), (0.01, 0.369), (0.005, 0.784), (0.002, 2.034)]
)
def test_slow_castings_still_hold_water_when_they_look_steady(rate: float, left_percent: float) -> None:
    """Source: formula f / (exp(k D) - 1), worked here."""
    assert 100 * free_water_when_steady(rate) == pytest.approx(left_percent, abs=0.001)


def test_a_slow_casting_is_dry_later_than_it_looks_steady() -> None:
    slow = DryingFit(dry_mg=1_000_000, excess_mg=200_000, rate_per_hour=0.002)

    assert dry_at_hours(slow) > hours_when_steady(slow)
    assert slow.free_water_at(dry_at_hours(slow)) == pytest.approx(0.01, rel=1e-9)
    assert dry_at_hours(WORKED) == hours_when_steady(WORKED)


def test_a_casting_that_hardly_loses_anything_is_steady_from_the_start() -> None:
    assert hours_when_steady(DryingFit(1_000_000, 5_000, 1e-5)) == -math.inf
    assert dry_at_hours(DryingFit(1_000_000, 5_000, 1e-5)) == 0.0


def test_the_dry_mass_from_the_mix() -> None:
    """Source: stoichiometry, 18.62 bound per 100, worked here: 700 g + 420 g dries to 830.34 g."""
    dry_mg = expected_dry_mg(700_000, 420_000, bound_water_ratio=0.1862)

    assert dry_mg == pytest.approx(830_340, abs=10)
    assert 100 * (860_000 / dry_mg - 1) == pytest.approx(3.57, abs=0.01)
    assert expected_dry_mg(700_000, 420_000, bound_water_ratio=0.1862, pigment_mg=14_000) == pytest.approx(
        844_340, abs=10
    )


def test_no_more_water_is_bound_than_was_mixed_in() -> None:
    assert expected_dry_mg(700_000, 100_000, bound_water_ratio=0.1862) == 800_000


def test_the_water_left_falls_to_a_third_in_one_tau() -> None:
    """Source: exp(-1) = 0.367879."""
    assert water_left_at(0, 33) == 1
    assert water_left_at(-5, 33) == 1
    assert water_left_at(33, 33) == pytest.approx(0.367879, abs=1e-6)
    assert water_left_at(1e6, 33) == 0


def test_a_tau_from_drying_hours_ends_at_one_percent() -> None:
    """Worked here: from 20 % to 1 % is a factor of 20, ln 20 = 2.995732."""
    tau = tau_from_drying_hours(72, 0.20)

    assert tau == pytest.approx(72 / 2.995732, abs=1e-5)
    assert 0.20 * water_left_at(72, tau) == pytest.approx(0.01)
    with pytest.raises(ValueError, match="drying takes time"):
        tau_from_drying_hours(72, 0.01)
