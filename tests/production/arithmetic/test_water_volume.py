"""The volume of a mould by water."""

from __future__ import annotations

import math

import iapws
import pytest
from scipy import stats

from production.arithmetic.water_volume import (
    FillNotUsable,
    air_density,
    combined_uncertainty,
    student_t95,
    volume_from_fills,
    water_density,
    z_factor,
)

WORKED_FILLS = [(grams, 22.0) for grams in (248.6, 248.9, 248.4, 248.7, 248.9)]

# Source: ISO 8655-6 Z table (also ISO/TR 20461), mL/g, as printed in a pipette's operating manual.
Z_PRESSURES = (800, 853, 907, 960, 1013, 1067)
Z_TABLE = {
    15: (1.0018, 1.0018, 1.0019, 1.0019, 1.0020, 1.0020),
    20: (1.0026, 1.0027, 1.0027, 1.0028, 1.0029, 1.0029),
    22: (1.0031, 1.0031, 1.0032, 1.0032, 1.0033, 1.0033),
    25: (1.0038, 1.0038, 1.0039, 1.0039, 1.0040, 1.0041),
    30: (1.0052, 1.0052, 1.0053, 1.0053, 1.0054, 1.0055),
}


@pytest.mark.parametrize(
    ("temperature_c", "density"),
    [
        (5, 999.9668),
        (10, 999.7027),
        (15, 999.1026),
        (20, 998.2067),
        (25, 997.0470),
        (30, 995.6488),
        (35, 994.0326),
    ],
)
def test_water_has_the_published_density(temperature_c: float, density: float) -> None:
    """Source: Tanaka et al., Metrologia 38 (2001) 301-309 (figures from memory); IAPWS-95 by `iapws`."""
    reference = iapws.IAPWS95(T=temperature_c + 273.15, P=0.101325).rho

    assert water_density(temperature_c) == pytest.approx(density, abs=0.001)
    assert water_density(temperature_c) == pytest.approx(reference, abs=0.001)


@pytest.mark.parametrize(
    ("temperature_c", "pressure_hpa", "humidity_percent", "density"),
    [
        (20, 1013.25, 50, 1.1993),
        (15, 960, 50, 1.1579),
        (25, 1013, 60, 1.1753),
        (30, 1013, 40, 1.1571),
        (20, 800, 50, 0.9458),
    ],
)
def test_air_has_the_published_density(
    temperature_c: float, pressure_hpa: float, humidity_percent: float, density: float
) -> None:
    """Source: ISO 4787:2010 annex B; CIPM-2007 short form, OIML R 111-1:2004 E.3 (figures from memory)."""
    assert air_density(temperature_c, pressure_hpa, humidity_percent) == pytest.approx(density, abs=0.001)


@pytest.mark.parametrize("temperature_c", sorted(Z_TABLE))
def test_z_is_that_of_the_printed_table(temperature_c: int) -> None:
    """Source: ISO 8655-6 Z table, to its last printed figure."""
    for pressure_hpa, printed in zip(Z_PRESSURES, Z_TABLE[temperature_c], strict=True):
        assert z_factor(temperature_c, pressure_hpa) == pytest.approx(printed, abs=0.0001)


def test_humidity_hardly_matters() -> None:
    """Source: worked here: 20 to 80 % changes Z by 0.000008."""
    change = z_factor(22, 1013, 80) - z_factor(22, 1013, 20)

    assert abs(change) == pytest.approx(0.000008, abs=0.000003)


def test_half_a_kilogram_of_water_at_twenty_degrees() -> None:
    """Source: gravimetric formula, worked here: 500.0 g at 20 C and 1013 hPa is 501.43 mL."""
    volume = volume_from_fills([(500.0, 20.0)])

    assert volume.mean_ml == pytest.approx(501.43, abs=0.02)
    assert volume.mean_ul == pytest.approx(501_430, abs=20)


def test_the_worked_mould_has_its_mean_spread_and_uncertainty() -> None:
    """Source: GUM (JCGM 100:2008) 4.2, 4.3.7, G.4.1, worked here: five fills at 22 C +/- 0.5, scale 0.1 g."""
    volume = volume_from_fills(WORKED_FILLS, 1013)

    assert volume.count == 5
    assert volume.mean_ml == pytest.approx(249.52, abs=0.01)
    assert volume.sd_ml == pytest.approx(0.2121 * 1.0033, abs=0.001)
    assert volume.standard_uncertainty_ml == pytest.approx(0.1049, abs=0.001)
    assert volume.degrees_of_freedom == pytest.approx(5.89, abs=0.01)
    assert volume.expanded_ml == pytest.approx(0.270, abs=0.001)
    assert volume.odd_fills == ()
    assert volume.remark == ""


@pytest.mark.parametrize("freedom", [*range(1, 21), 25, 30, 40, 60, 120])
def test_t_is_that_of_the_guides_table(freedom: int) -> None:
    """Source: GUM table G.2 = NIST TN 1297 table B.1; `scipy.stats.t.ppf`."""
    assert student_t95(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), abs=0.0006)


def test_degrees_of_freedom_are_rounded_down() -> None:
    """Source: GUM G.4.1, note: v_eff is truncated."""
    assert student_t95(5.89) == student_t95(5)
    assert student_t95(24) == student_t95(20)
    assert student_t95(math.inf) == pytest.approx(1.960, abs=0.001)
    with pytest.raises(ValueError, match="1 or more"):
        student_t95(0.5)


def test_uncertainties_are_combined_as_in_the_guides_example() -> None:
    """Source: GUM G.4.1 example (from memory): 0.25, 0.57, 0.82 % of 10, 5, 15 readings.

    u_c 1.03 %, effective degrees of freedom 19.0, expanded 2.2 %.
    """
    combined, freedom = combined_uncertainty([(0.25, 9), (0.57, 4), (0.82, 14)])

    assert combined == pytest.approx(1.03, abs=0.005)
    assert freedom == pytest.approx(19.0, abs=0.05)
    assert student_t95(19) * combined == pytest.approx(2.2, abs=0.05)


def test_mean_and_spread_are_those_of_the_guides_twenty_readings() -> None:
    """Source: GUM 4.4.3, table 1 (readings from memory): mean 100.145, s 1.489, s / sqrt(20) 0.333."""
    readings = (96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07)
    readings += (100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72)

    volume = volume_from_fills([(grams, 20.0) for grams in readings], scale_step_g=0, temperature_within_c=0)

    z = z_factor(20.0)
    assert volume.mean_ml / z == pytest.approx(100.145, abs=5e-4)
    assert volume.sd_ml is not None
    assert volume.sd_ml / z == pytest.approx(1.489, abs=5e-4)
    assert volume.standard_uncertainty_ml is not None
    assert volume.standard_uncertainty_ml / z == pytest.approx(0.333, abs=5e-4)
    assert volume.degrees_of_freedom == pytest.approx(19)


def test_each_fill_is_turned_at_its_own_temperature() -> None:
    volume = volume_from_fills([(500.0, 10.0), (500.0, 30.0)])

    assert volume.volumes_ml[1] - volume.volumes_ml[0] == pytest.approx(500 * (1.0054 - 1.0013), abs=0.1)


def test_one_fill_is_allowed_and_says_so() -> None:
    volume = volume_from_fills([(687.4, 18.5)])

    assert volume.sd_ml is None
    assert volume.expanded_ml is None
    assert volume.remark == "One fill only. Two more and the spread can be said."


def test_equal_fills_still_have_the_scales_and_the_thermometers_uncertainty() -> None:
    volume = volume_from_fills([(500.0, 20.0)] * 3)

    assert volume.sd_ml == 0
    assert volume.degrees_of_freedom == math.inf
    assert volume.expanded_ml == pytest.approx(1.96 * math.hypot(0.0409, 0.0301), rel=0.02)


def test_a_fill_six_percent_from_the_others_is_questioned_and_kept() -> None:
    volume = volume_from_fills([(500.0, 20.0), (470.0, 20.0), (500.2, 20.0)])

    assert [fill.place for fill in volume.odd_fills] == [1]
    assert volume.odd_fills[0].off_part == pytest.approx(-0.0602, abs=1e-4)
    assert volume.count == 3
    assert volume.remark == "A fill is 6 % from the others. Air left in? Keep it or leave it out."


def test_a_fill_far_outside_the_others_spread_is_questioned_below_five_percent() -> None:
    volume = volume_from_fills([(g, 20.0) for g in (500.0, 500.3, 499.8, 500.1, 506.0)])

    assert [fill.place for fill in volume.odd_fills] == [4]


def test_close_fills_are_not_questioned_for_hairs() -> None:
    volume = volume_from_fills([(g, 20.0) for g in (500.0, 500.0, 500.1, 500.0, 500.9)])

    assert volume.odd_fills == ()


def test_two_fills_far_apart_say_so() -> None:
    volume = volume_from_fills([(500.0, 20.0), (530.0, 20.0)])

    assert volume.remark == "The two fills are 6 % apart. Fill once more."


@pytest.mark.parametrize(
    ("fills", "pressure_hpa"),
    [
        ([], 1013),
        ([(0, 20)], 1013),
        ([(-5, 20)], 1013),
        ([(float("nan"), 20)], 1013),
        ([(float("inf"), 20)], 1013),
        ([(500, 4.9)], 1013),
        ([(500, 35.1)], 1013),
        ([(500, float("nan"))], 1013),
        ([(500, 20)], 101.3),
        ([(500, 20)], 101_300),
    ],
)
def test_what_is_no_fill_is_refused(fills: list[tuple[float, float]], pressure_hpa: float) -> None:
    with pytest.raises(FillNotUsable):
        volume_from_fills(fills, pressure_hpa)


def test_the_sentence_of_a_refused_temperature_names_the_range() -> None:
    with pytest.raises(FillNotUsable) as refused:
        volume_from_fills([(500, 68)])

    assert refused.value.message == "Water at 68 °C is outside 5 to 35 °C. Read it again."
    assert volume_from_fills([(500, 5), (500, 35)]).count == 2
