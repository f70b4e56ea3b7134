"""The volume of a mould from how much water it takes, weighed: the gravimetric method."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from inventory.errors import StudioError

STANDARD_PRESSURE_HPA = 1013.0
# Humidity from 20 to 80 % changes the result by less than one part in a hundred thousand.
USUAL_HUMIDITY_PERCENT = 50.0
WEIGHTS_DENSITY_KG_PER_M3 = 8000.0
TEMPERATURE_LEAST_C, TEMPERATURE_MOST_C = 5.0, 35.0
# From a studio at 5,000 m to the highest pressure ever read at sea level.
PRESSURE_LEAST_HPA, PRESSURE_MOST_HPA = 540.0, 1090.0

ODD_FILL_SDS = 3.0
ODD_FILL_PART = 0.05
# Three standard deviations of a few close fills are soon passed by chance. Below half a percent, about what
# the silicone's own expansion does between a cool and a warm room, a fill is not called odd for that.
ODD_FILL_PART_LEAST = 0.005
ODD_FILL_OTHERS_LEAST = 3

# Student's t, two-sided, 95 %, by degrees of freedom. Source: GUM (JCGM 100:2008) table G.2 = NIST Technical
# Note 1297 table B.1, to one more place.
_T95 = {
    **dict(enumerate((12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228), start=1)),
    **dict(enumerate((2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086), start=11)),
    25: 2.060,
    30: 2.042,
    40: 2.021,
    60: 2.000,
    120: 1.980,
}
_T95_LIMIT = 1.960


class FillNotUsable(StudioError):
    """A water fill that cannot be reckoned with; facts `name`, `value`."""


@dataclass(frozen=True)
class OddFill:
    """A fill that is questioned: `place` in the list (from 0), `off_part` how far from the others, signed."""

    place: int
    volume_ml: float
    off_part: float


@dataclass(frozen=True)
class MouldVolume:
    """A mould's volume at the temperature of the fills, in mL.

    `sd_ml`, `standard_uncertainty_ml`, `expanded_ml` (95 %) and `degrees_of_freedom` are None with one fill.
    `volumes_ml` has one entry per fill, in the order given.
    """

    mean_ml: float
    count: int
    volumes_ml: tuple[float, ...]
    sd_ml: float | None = None
    standard_uncertainty_ml: float | None = None
    degrees_of_freedom: float | None = None
    expanded_ml: float | None = None
    odd_fills: tuple[OddFill, ...] = ()

    @property
    def mean_ul(self) -> int:
        """The volume to keep, in whole microlitres."""
        return round(self.mean_ml * 1000)

    @property
    def remark(self) -> str:
        """One sentence on how far the volume can be trusted; empty when there is nothing to say."""
        if self.count == 1:
            return "One fill only. Two more and the spread can be said."
        if self.odd_fills:
            off_percent = 100 * max(abs(fill.off_part) for fill in self.odd_fills)
            if self.count == 2:
                return f"The two fills are {off_percent:.2g} % apart. Fill once more."
            return f"A fill is {off_percent:.2g} % from the others. Air left in? Keep it or leave it out."
        return ""


def water_density(temperature_c: float) -> float:
    """Give the density of air-free water at 101.325 kPa in kg/m3, 0 to 40 degrees Celsius.

    Source: Tanaka, Girard, Davis, Peuto, Bignell, Metrologia 38 (2001) 301-309 (CIPM formula).
    """
    a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
    t = temperature_c
    return a5 * (1 - (t + a1) ** 2 * (t + a2) / (a3 * (t + a4)))


def air_density(
    temperature_c: float,
    pressure_hpa: float = STANDARD_PRESSURE_HPA,
    humidity_percent: float = USUAL_HUMIDITY_PERCENT,
) -> float:
    """Give the density of air in kg/m3 at a temperature in Celsius, pressure in hPa and relative humidity.

    Source: CIPM-2007 short form as in OIML R 111-1:2004, E.3.
    """
    h, t = humidity_percent, temperature_c
    return (0.34848 * pressure_hpa - 0.009 * h * math.exp(0.061 * t)) / (273.15 + t)


def z_factor(
    temperature_c: float,
    pressure_hpa: float = STANDARD_PRESSURE_HPA,
    humidity_percent: float = USUAL_HUMIDITY_PERCENT,
) -> float:
    """Give how many mL one gram of water on the scale's display fills (Z, mL/g).

    Parameters: temperature of the water, 5 to 35 degrees Celsius; pressure in hPa; relative humidity in
    percent.

    Raises: FillNotUsable outside these.

    Source: ISO 8655-6 and ISO 4787, Z = (1 - rho_a/rho_b) / (rho_w - rho_a), weights of 8.0 g/mL.
    """
    _check_between("Water", temperature_c, TEMPERATURE_LEAST_C, TEMPERATURE_MOST_C, "°C")
    _check_between("Air pressure", pressure_hpa, PRESSURE_LEAST_HPA, PRESSURE_MOST_HPA, "hPa")
    _check_between("Humidity", humidity_percent, 0.0, 100.0, "%")
    rho_a = air_density(temperature_c, pressure_hpa, humidity_percent)
    rho_w = water_density(temperature_c)
    return 1000 * (1 - rho_a / WEIGHTS_DENSITY_KG_PER_M3) / (rho_w - rho_a)


def student_t95(degrees_of_freedom: float) -> float:
    """Give Student's t for 95 % two-sided, degrees of freedom rounded down to the next one in the table.

    Source: GUM (JCGM 100:2008) table G.2; rounding down as in G.4.1.
    """
    if degrees_of_freedom < 1:
        raise ValueError("degrees of freedom are 1 or more")
    if degrees_of_freedom > 100_000:
        return _T95_LIMIT
    return _T95[max(known for known in _T95 if known <= degrees_of_freedom)]


def combined_uncertainty(parts: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Combine independent standard uncertainties, each with its degrees of freedom (infinite where known).

    Returns the combined standard uncertainty, in the unit of the parts, and its effective degrees of freedom.

    Source: GUM (JCGM 100:2008) 5.1.2 (root of the sum of squares) and G.4.1 (Welch-Satterthwaite).
    """
    combined = math.sqrt(math.fsum(part**2 for part, _ in parts))
    shares = math.fsum(part**4 / freedom for part, freedom in parts)
    return combined, math.inf if shares == 0 else combined**4 / shares


def volume_from_fills(
    fills: Sequence[tuple[float, float]],
    pressure_hpa: float = STANDARD_PRESSURE_HPA,
    *,
    humidity_percent: float = USUAL_HUMIDITY_PERCENT,
    scale_step_g: float = 0.1,
    temperature_within_c: float = 0.5,
) -> MouldVolume:
    """Give a mould's volume from fills of (grams of water as shown, temperature of the water in Celsius).

    Parameters: `scale_step_g` the least the scale shows; `temperature_within_c` how far the thermometer may
    be off either way. One fill is allowed; then no spread is given. A fill further than three standard
    deviations of the others (from four fills up, and half a percent at least) or 5 % from their mean is
    questioned, not rejected.

    The uncertainty combines the spread of the mean, the scale's step twice (tare and gross are both read) and
    the thermometer, each rectangular; expanded with t for the effective degrees of freedom.

    Raises: FillNotUsable for no fills, grams not above zero, temperature outside 5-35, pressure out of this
    world.

    Source: ISO 4787 (volume), GUM (JCGM 100:2008) 4.2, 4.3.7, 5.1.2, G.4.1 (uncertainty).
    """
    if not fills:
        raise FillNotUsable("No fills yet. Fill the mould with water on the scale.", name="fills", value=0)
    for grams, _ in fills:
        if not math.isfinite(grams) or grams <= 0:
            raise FillNotUsable(
                f"{grams:g} g is no fill. Type what the mould took.", name="grams", value=grams
            )
    volumes = tuple(grams * z_factor(t, pressure_hpa, humidity_percent) for grams, t in fills)
    mean_ml = fmean(volumes)
    if len(volumes) == 1:
        return MouldVolume(mean_ml=mean_ml, count=1, volumes_ml=volumes)

    sd_ml = stdev(volumes)
    spread = sd_ml / math.sqrt(len(volumes))
    mean_c = fmean(t for _, t in fills)
    mean_z = mean_ml / fmean(grams for grams, _ in fills)
    step = math.sqrt(2) * scale_step_g / math.sqrt(12) * mean_z
    thermometer = mean_ml / mean_z * _z_per_degree(mean_c, pressure_hpa) * temperature_within_c / math.sqrt(3)
    # The step and the thermometer are taken as known, with endless degrees of freedom.
    parts = [(spread, float(len(volumes) - 1)), (step, math.inf), (thermometer, math.inf)]
    combined, freedom = combined_uncertainty(parts)
    return MouldVolume(
        mean_ml=mean_ml,
        count=len(volumes),
        volumes_ml=volumes,
        sd_ml=sd_ml,
        standard_uncertainty_ml=combined,
        degrees_of_freedom=freedom,
        expanded_ml=student_t95(freedom) * combined,
        odd_fills=tuple(_odd_fills(volumes)),
    )


def _z_per_degree(temperature_c: float, pressure_hpa: float) -> float:
    def z(t: float) -> float:
        rho_a, rho_w = air_density(t, pressure_hpa), water_density(t)
        return 1000 * (1 - rho_a / WEIGHTS_DENSITY_KG_PER_M3) / (rho_w - rho_a)

    return abs(z(temperature_c + 0.5) - z(temperature_c - 0.5))


def _odd_fills(volumes: Sequence[float]) -> list[OddFill]:
    """Compare each fill with the others only, since one far off would widen its own yardstick."""
    odd = []
    for place, volume in enumerate(volumes):
        others = [other for index, other in enumerate(volumes) if index != place]
        off = (volume - fmean(others)) / fmean(others)
        limit = ODD_FILL_PART
        if len(others) >= ODD_FILL_OTHERS_LEAST:
            limit = min(limit, max(ODD_FILL_PART_LEAST, ODD_FILL_SDS * stdev(others) / fmean(others)))
        if abs(off) > limit:
            odd.append(OddFill(place=place, volume_ml=volume, off_part=off))
    return odd


def _check_between(name: str, value: float, least: float, most: float, unit: str) -> None:
    if not math.isfinite(value) or not least <= value <= most:
        raise FillNotUsable(
            f"{name} at {value:g} {unit} is outside {least:g} to {most:g} {unit}. Read it again.",
            name=name,
            value=value,
            least=least,
            most=most,
        )
