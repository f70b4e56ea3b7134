"""What is refused and what is only said about the numbers of a mix.

MixRefused                    the mix cannot be made as asked
|-- MixNumberRefused          zero, negative or no number where one is needed
|-- NothingToFill             no casts
|-- RatioTypedAsParts         40 where 0.40 is meant; facts `offer`
|-- PartsTypedAsRatio         0.40 where 40 is meant; facts `offer`
|-- WaterBelowUptake          less water than the powder binds when it sets
|-- WaterAboveMost            more water than makes a casting
|-- WaterTemperatureRefused   the mix would flash or not set
|-- OverfillAboveMost         more extra than half of the casts
|-- PigmentOverLimit          more pigment than the compound carries
|-- NoRecipeForColour         the colour was never worked out in this compound
|-- MixTooLargeForJug         the mix is heavier than the jug takes
`-- FillsOutlastWorkingTime   filling takes longer than the mix stays workable
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from inventory.errors import StudioError

OVERFILL_WARN_PERCENT = 15.0
OVERFILL_STOP_PERCENT = 50.0
WATER_ADJUST_WARN_PERCENT = 10.0
# A ratio between these is a plain ratio; a hundred times these is parts per hundred. They cannot be mistaken.
SLIP_LEAST, SLIP_MOST = 0.15, 1.5


class MixRefused(StudioError):
    """The mix cannot be made as asked."""


class MixNumberRefused(MixRefused):
    """A number of the mix is zero, negative or not finite; facts `name`, `value`."""


class NothingToFill(MixRefused):
    """The mix has no casts."""


class RatioTypedAsParts(MixRefused):
    """The water ratio looks like parts per hundred; facts `typed`, `offer`."""


class PartsTypedAsRatio(MixRefused):
    """The parts of water per hundred look like a ratio; facts `typed`, `offer`."""


class WaterBelowUptake(MixRefused):
    """Less water than the powder needs to set; facts `water_ratio`, `least_ratio`."""


class WaterAboveMost(MixRefused):
    """More water than the compound's outer wall; facts `water_ratio`, `most_ratio`."""


class WaterTemperatureRefused(MixRefused):
    """Water in which the mix would flash or not set; facts `temperature_c`."""


class OverfillAboveMost(MixRefused):
    """More overfill than can be meant; facts `overfill_percent`, `most_percent`."""


class PigmentOverLimit(MixRefused):
    """More pigment than the compound carries; facts `load_percent`, `limit_percent`."""


class NoRecipeForColour(MixRefused):
    """The colour has no pigments worked out for this compound; facts `colour`, `compound`."""


class MixTooLargeForJug(MixRefused):
    """The mix is heavier than the jug takes; facts `mix_mg`, `jug_mg`."""


class FillsOutlastWorkingTime(MixRefused):
    """The fills take longer than the mix stays workable; facts `fill_minutes`, `working_time_minutes`."""


@dataclass(frozen=True)
class MixWarning:
    """Something to know that does not stop the mix: a short `code` and the `sentence` shown."""

    code: str
    sentence: str


@dataclass(frozen=True)
class WaterWalls:
    """Outer walls of the water ratio (mass of water per mass of powder) of one compound.

    Below `stop_least` and above `stop_most` a mix is refused, below `warn_least` and above `warn_most` it is
    said.
    """

    stop_least: float
    warn_least: float
    warn_most: float
    stop_most: float


# Source of the least of gypsum: stoichiometry, 18.6 of water per 100 of hemihydrate. The other three are
# common practice, no source. For a compound of unknown make they are outer walls round the maker's own ratio.
GYPSUM_WALLS = WaterWalls(stop_least=0.186, warn_least=0.25, warn_most=0.90, stop_most=1.50)
# Chemically bound water of Portland cement about 0.23 (Powers), from memory; upper walls common practice.
CEMENT_WALLS = WaterWalls(stop_least=0.23, warn_least=0.35, warn_most=0.90, stop_most=1.50)


def check_above_zero(name: str, value: float, *, or_zero: bool = False) -> None:
    """Refuse a value that is not finite or not above zero (`or_zero`: below zero).

    Raises: MixNumberRefused.
    """
    if not math.isfinite(value) or value < 0 or (value == 0 and not or_zero):
        wanted = "zero or more" if or_zero else "above zero"
        raise MixNumberRefused(f"{name} is {value:g}. Type a number {wanted}.", name=name, value=value)


def ratio_from_parts(parts_per_100: float) -> float:
    """Turn parts of water per 100 of powder, as typed, into the water ratio.

    Raises: MixNumberRefused; PartsTypedAsRatio for 0.15 to 1.5, with a hundred times that as the offer.
    """
    check_above_zero("Water per 100 of powder", parts_per_100)
    if SLIP_LEAST <= parts_per_100 <= SLIP_MOST:
        offer = parts_per_100 * 100
        raise PartsTypedAsRatio(
            f"{parts_per_100:g} of water per 100 of powder is next to none. {offer:g} is probably meant.",
            typed=parts_per_100,
            offer=offer,
        )
    return parts_per_100 / 100


def check_ratio_is_no_slip(water_ratio: float) -> None:
    """Refuse a water ratio that was typed as parts per hundred of powder.

    Raises: MixNumberRefused; RatioTypedAsParts for 15 to 150, with a hundredth of that as the offer.
    """
    check_above_zero("The water ratio", water_ratio)
    if SLIP_LEAST * 100 <= water_ratio <= SLIP_MOST * 100:
        offer = water_ratio / 100
        raise RatioTypedAsParts(
            f"{water_ratio:g} is {water_ratio:g} times as much water as powder. {offer:g} is probably meant.",
            typed=water_ratio,
            offer=offer,
        )


def check_water_ratio(
    water_ratio: float, walls: WaterWalls = GYPSUM_WALLS, bound_water_ratio: float | None = None
) -> list[MixWarning]:
    """Check a water ratio (mass of water per mass of powder) against a compound's walls.

    Parameters: `bound_water_ratio` is what the powder binds when it sets, None when not known.
    Returns the soft warnings.

    Raises: MixNumberRefused; RatioTypedAsParts for 15 to 150; WaterBelowUptake; WaterAboveMost.
    """
    check_ratio_is_no_slip(water_ratio)
    least = max(walls.stop_least, bound_water_ratio or 0.0)
    said = f"{100 * water_ratio:.3g} of water per 100 of powder"
    if water_ratio < least:
        raise WaterBelowUptake(
            f"{said} is less than the {100 * least:.3g} the powder takes up when it sets. Use more water.",
            water_ratio=water_ratio,
            least_ratio=least,
        )
    if water_ratio > walls.stop_most:
        raise WaterAboveMost(
            f"{said} is more than {100 * walls.stop_most:.3g}, too much for a sound casting. Use less.",
            water_ratio=water_ratio,
            most_ratio=walls.stop_most,
        )
    if water_ratio < walls.warn_least:
        return [MixWarning("little water", f"{said} is little: the mix will be stiff and set fast.")]
    if water_ratio > walls.warn_most:
        return [MixWarning("much water", f"{said} is much: the casting will be soft and dry slowly.")]
    return []


def check_overfill(overfill_percent: float) -> list[MixWarning]:
    """Check the extra mixed for loss, in percent of the casts' volume; returns the soft warnings.

    Raises: MixNumberRefused; OverfillAboveMost above 50 %. Both walls are common practice, no source.
    """
    check_above_zero("The overfill", overfill_percent, or_zero=True)
    if overfill_percent > OVERFILL_STOP_PERCENT:
        raise OverfillAboveMost(
            f"{overfill_percent:g} % overfill is more than {OVERFILL_STOP_PERCENT:g} %. Type less.",
            overfill_percent=overfill_percent,
            most_percent=OVERFILL_STOP_PERCENT,
        )
    if overfill_percent > OVERFILL_WARN_PERCENT:
        return [MixWarning("much overfill", f"{overfill_percent:g} % overfill is much; 3 to 10 % is usual.")]
    return []


def check_pigment_load(
    load_percent: float, *, warn_percent: float = 5.0, limit_percent: float = 10.0
) -> list[MixWarning]:
    """Check all pigments together, in percent of the powder's mass; returns the soft warnings.

    Raises: MixNumberRefused; PigmentOverLimit.

    Source: ASTM C979/C979M clause 1.4, at most 10 % of the cement's mass; for gypsum common practice, no
    source.
    """
    check_above_zero("The pigment load", load_percent, or_zero=True)
    if load_percent > limit_percent:
        raise PigmentOverLimit(
            f"{load_percent:.3g} % pigment is more than the {limit_percent:.3g} % this compound carries."
            " Use less pigment.",
            load_percent=load_percent,
            limit_percent=limit_percent,
        )
    if load_percent > warn_percent:
        sentence = f"{load_percent:.3g} % pigment is much: castings get weaker above {warn_percent:.3g} %."
        return [MixWarning("much pigment", sentence)]
    return []


def check_water_temperature(temperature_c: float) -> list[MixWarning]:
    """Check the temperature of the mixing water in degrees Celsius; returns the soft warnings.

    Raises: WaterTemperatureRefused below 1 or above 45. All four walls are common practice, no source.
    """
    if not 1 <= temperature_c <= 45:
        raise WaterTemperatureRefused(
            f"Water at {temperature_c:g} °C: the mix would not set as it should. Use water of 10 to 30 °C.",
            temperature_c=temperature_c,
        )
    if temperature_c < 10:
        return [MixWarning("cold water", f"Water at {temperature_c:g} °C makes the mix set late.")]
    if temperature_c > 30:
        return [MixWarning("warm water", f"Water at {temperature_c:g} °C shortens the working time.")]
    return []
