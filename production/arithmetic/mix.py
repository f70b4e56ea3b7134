"""What to weigh for one mix, and how many grams go into each mould."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.arithmetic.quantities import format_amount
from production.arithmetic.mix_walls import (
    GYPSUM_WALLS,
    WATER_ADJUST_WARN_PERCENT,
    FillsOutlastWorkingTime,
    MixNumberRefused,
    MixTooLargeForJug,
    MixWarning,
    NoRecipeForColour,
    NothingToFill,
    WaterWalls,
    check_above_zero,
    check_overfill,
    check_pigment_load,
    check_ratio_is_no_slip,
    check_water_ratio,
)

# At 20 degrees Celsius. Source: Tanaka et al., Metrologia 38 (2001) 301-309.
WATER_DENSITY_G_PER_ML = 0.9982
# Binary fractions leave 2140.0000000000001 where 2140 is meant; without this a whole step would be added.
ROUNDING_GRACE = 1e-9
PIGMENT_ROUNDING_WARN = 0.05


@dataclass(frozen=True)
class CompoundFacts:
    """What the arithmetic needs to know of a compound and the jug it is mixed in.

    `powder_density_g_per_ml` density of the powder's grains; `water_ratio` mass of water per mass of powder;
    `measured_yield_ml_per_100_g` slurry from 100 g of powder at that ratio, where the studio measured it (it
    wins over the densities); `bound_water_ratio` mass of water that stays in the dry casting per mass of
    powder, None when the compound's chemistry is not known; `residue_ul` slurry that stays in the jug;
    `stir_minutes` of the working time go by before the first mould is filled; percents of powder for
    pigment, of slurry for overfill, of powder for the sieve.
    """

    name: str
    powder_density_g_per_ml: float
    water_ratio: float
    working_time_minutes: float
    stir_minutes: float = 0.0
    jug_capacity_mg: int | None = None
    residue_ul: int = 0
    overfill_percent: float = 0.0
    sieve_allowance_percent: float = 0.0
    measured_yield_ml_per_100_g: float | None = None
    bound_water_ratio: float | None = None
    water_walls: WaterWalls = GYPSUM_WALLS
    pigment_warn_percent: float = 5.0
    pigment_limit_percent: float = 10.0


@dataclass(frozen=True)
class PigmentFacts:
    """One pigment of a colour: `loading_percent` of the powder's mass; `density_g_per_ml` if known.

    A pigment of unknown density is taken to add mass and no volume, which mixes a trace too much.
    """

    name: str
    loading_percent: float
    density_g_per_ml: float | None = None


@dataclass(frozen=True)
class ColourFacts:
    """A colour in one compound; `pigments` is empty for the bare powder and None when never worked out."""

    name: str
    pigments: tuple[PigmentFacts, ...] | None


@dataclass(frozen=True)
class CastFacts:
    """Moulds of one kind filled one after the other: volume of one fill in uL, how many, minutes for each."""

    name: str
    volume_ul: int
    count: int
    fill_minutes: float = 0.0


@dataclass(frozen=True)
class PigmentWeight:
    """One pigment to weigh, in mg."""

    name: str
    weight_mg: int


@dataclass(frozen=True)
class Fill:
    """One mould to fill: the `number`th of its kind, `fill_mg` of slurry.

    `starts_after_minutes` counts from the first fill; `dry_mg` is the mass once the excess water has left,
    None when the compound's bound water is not known.
    """

    name: str
    number: int
    volume_ul: int
    fill_mg: int
    dry_mg: int | None
    starts_after_minutes: float
    fill_minutes: float


@dataclass(frozen=True)
class MixWeights:
    """What to weigh for one mix. Masses in mg, volume in uL, `water_ratio` with thicker or thinner in it.

    `volume_ul` is what leaves the sieve or the jug: the casts, `overfill_ul` and `residue_ul`. `sieve_mg` is
    the part of the powder that is mixed for the sieve to keep.
    """

    powder_mg: int
    water_mg: int
    pigments: tuple[PigmentWeight, ...]
    fills: tuple[Fill, ...]
    volume_ul: int
    overfill_ul: int
    residue_ul: int
    sieve_mg: int
    water_ratio: float
    slurry_density_g_per_ml: float
    warnings: tuple[MixWarning, ...]

    @property
    def total_mg(self) -> int:
        """What the scale should show when everything is in the jug."""
        return self.powder_mg + self.water_mg + sum(pigment.weight_mg for pigment in self.pigments)

    @property
    def casts_ul(self) -> int:
        """What the moulds hold."""
        return sum(fill.volume_ul for fill in self.fills)

    @property
    def fills_mg(self) -> int:
        """What all moulds together take; the rest is overfill, sieve loss and residue."""
        return sum(fill.fill_mg for fill in self.fills)

    @property
    def fill_minutes(self) -> float:
        """Minutes from the first fill's start to the last one's end."""
        return sum(fill.fill_minutes for fill in self.fills)


def slurry_density(
    powder_density_g_per_ml: float, water_ratio: float, water_density_g_per_ml: float = WATER_DENSITY_G_PER_ML
) -> float:
    """Give the density of powder and water stirred together, in g/mL, without air.

    Source: ideal mixing, (1 + w) / (1/rho_p + w/rho_w). Real slurries hold 1 to 3 % less (entrained air;
    common practice, no source), which is why a measured yield wins in `mix_weights`.
    """
    volume = 1 / powder_density_g_per_ml + water_ratio / water_density_g_per_ml
    return (1 + water_ratio) / volume


def mix_weights(
    casts: Sequence[CastFacts],
    compound: CompoundFacts,
    colour: ColourFacts,
    *,
    water_adjust_percent: float = 0.0,
    sieve: bool = False,
    scale_step_mg: int = 1000,
    water_step_mg: int | None = None,
    pigment_step_mg: int = 100,
) -> MixWeights:
    """Give the grams to weigh for one mix and the grams of slurry for each mould, in the order given.

    Volume to mix = sum of the casts' volumes x (1 + overfill) + residue of the jug. Powder = that volume x
    slurry density / (1 + water ratio) / (1 - sieve allowance), rounded up to the scale's step; water and
    pigments follow from the *rounded* powder, each to its own scale's step, so that the ratios hold. The
    sieve allowance is taken of the stirred mix: what is lost takes its water and pigment with it.

    Parameters: `water_adjust_percent` thicker (below zero) or thinner, of the water; `sieve` when the powder
    is past its opened life or lumpy; steps are the least the scales show, in mg (`water_step_mg`: as the
    powder's).

    Raises: the subclasses of `mix_walls.MixRefused`.

    Source: conservation of mass and ideal mixing; the dry mass by the water the compound binds (`gypsum.py`).
    """
    pigments = _recipe(colour, compound)
    water_ratio = compound.water_ratio * (1 + water_adjust_percent / 100)
    warnings = _check(casts, compound, pigments, water_ratio, water_adjust_percent)
    load = sum(pigment.loading_percent for pigment in pigments) / 100

    ml_per_g_powder = _slurry_ml_per_g_powder(compound, pigments, water_ratio)
    density = (1 + water_ratio + load) / ml_per_g_powder
    casts_ul = sum(cast.volume_ul * cast.count for cast in casts)
    overfill_ul = casts_ul * compound.overfill_percent / 100
    volume_ul = casts_ul + overfill_ul + compound.residue_ul
    kept = 1 - compound.sieve_allowance_percent / 100 if sieve else 1.0

    powder_mg = _round_up(volume_ul / ml_per_g_powder / kept, scale_step_mg)
    water_mg = _round_near(powder_mg * water_ratio, water_step_mg or scale_step_mg)
    weights = tuple(
        PigmentWeight(pigment.name, _round_near(powder_mg * pigment.loading_percent / 100, pigment_step_mg))
        for pigment in pigments
    )
    warnings += _coarse_pigments(powder_mg, pigments, weights, pigment_step_mg)
    made = MixWeights(
        powder_mg=powder_mg,
        water_mg=water_mg,
        pigments=weights,
        fills=_fills(casts, density, _dry_part(compound, water_ratio, load), scale_step_mg),
        volume_ul=round(volume_ul),
        overfill_ul=round(overfill_ul),
        residue_ul=compound.residue_ul,
        sieve_mg=round(powder_mg * (1 - kept)),
        water_ratio=water_ratio,
        slurry_density_g_per_ml=density,
        warnings=tuple(warnings),
    )
    _check_jug(made, compound)
    return made


def _recipe(colour: ColourFacts, compound: CompoundFacts) -> tuple[PigmentFacts, ...]:
    if colour.pigments is None:
        raise NoRecipeForColour(
            f"No recipe for {colour.name} in {compound.name}. Add its pigments first.",
            colour=colour.name,
            compound=compound.name,
        )
    return colour.pigments


def _check(
    casts: Sequence[CastFacts],
    compound: CompoundFacts,
    pigments: Sequence[PigmentFacts],
    water_ratio: float,
    water_adjust_percent: float,
) -> list[MixWarning]:
    """Refuse what cannot be mixed; give the soft warnings."""
    if not casts or sum(cast.count for cast in casts) == 0:
        raise NothingToFill("No moulds in this mix. Add one.")
    for cast in casts:
        check_above_zero(f"The volume of {cast.name}", cast.volume_ul)
        check_above_zero(f"The count of {cast.name}", cast.count, or_zero=True)
        check_above_zero(f"The fill minutes of {cast.name}", cast.fill_minutes, or_zero=True)
    check_above_zero("The powder's density", compound.powder_density_g_per_ml)
    check_above_zero("The residue of the jug", compound.residue_ul, or_zero=True)
    if compound.measured_yield_ml_per_100_g is not None:
        check_above_zero("The measured yield", compound.measured_yield_ml_per_100_g)
    if not 0 <= compound.sieve_allowance_percent <= 50:
        raise MixNumberRefused(
            f"The sieve allowance is {compound.sieve_allowance_percent:g} %. Type 0 to 50.",
            name="sieve allowance",
            value=compound.sieve_allowance_percent,
        )
    for pigment in pigments:
        check_above_zero(f"The load of {pigment.name}", pigment.loading_percent, or_zero=True)
    check_ratio_is_no_slip(compound.water_ratio)
    warnings = check_water_ratio(water_ratio, compound.water_walls, compound.bound_water_ratio)
    if abs(water_adjust_percent) > WATER_ADJUST_WARN_PERCENT:
        side = "thinner" if water_adjust_percent > 0 else "thicker"
        sentence = f"{abs(water_adjust_percent):g} % {side} than the compound's own ratio is much."
        warnings.append(MixWarning("far from the ratio", sentence))
    warnings += check_overfill(compound.overfill_percent)
    warnings += check_pigment_load(
        sum(pigment.loading_percent for pigment in pigments),
        warn_percent=compound.pigment_warn_percent,
        limit_percent=compound.pigment_limit_percent,
    )
    _check_working_time(casts, compound)
    return warnings


def _check_working_time(casts: Sequence[CastFacts], compound: CompoundFacts) -> None:
    fill_minutes = sum(cast.count * cast.fill_minutes for cast in casts)
    if compound.stir_minutes + fill_minutes > compound.working_time_minutes:
        stirring = f"Stirring takes {compound.stir_minutes:g} min, " if compound.stir_minutes else ""
        raise FillsOutlastWorkingTime(
            f"{stirring}{'filling' if stirring else 'Filling'} takes {fill_minutes:g} min and"
            f" {compound.name} stays workable {compound.working_time_minutes:g} min. Leave a mould out.",
            fill_minutes=fill_minutes,
            working_time_minutes=compound.working_time_minutes,
        )


def _check_jug(made: MixWeights, compound: CompoundFacts) -> None:
    if compound.jug_capacity_mg is not None and made.total_mg > compound.jug_capacity_mg:
        mix, jug = (format_amount(mg, "g", places=0) for mg in (made.total_mg, compound.jug_capacity_mg))
        raise MixTooLargeForJug(
            f"The mix weighs {mix} and the jug takes {jug}. Leave a mould out, or make two mixes.",
            mix_mg=made.total_mg,
            jug_mg=compound.jug_capacity_mg,
        )


def _slurry_ml_per_g_powder(
    compound: CompoundFacts, pigments: Sequence[PigmentFacts], water_ratio: float
) -> float:
    """Give the slurry made from one gram of powder, in mL, pigments of known density included."""
    if compound.measured_yield_ml_per_100_g is not None:
        # Measured at the compound's own ratio: water more or less than that adds its own volume.
        extra_water = water_ratio - compound.water_ratio
        volume = compound.measured_yield_ml_per_100_g / 100 + extra_water / WATER_DENSITY_G_PER_ML
    else:
        volume = 1 / compound.powder_density_g_per_ml + water_ratio / WATER_DENSITY_G_PER_ML
    for pigment in pigments:
        if pigment.density_g_per_ml is not None:
            check_above_zero(f"The density of {pigment.name}", pigment.density_g_per_ml)
            volume += pigment.loading_percent / 100 / pigment.density_g_per_ml
    check_above_zero("The slurry from one gram of powder", volume)
    return volume


def _dry_part(compound: CompoundFacts, water_ratio: float, load: float) -> float | None:
    """Give which part of the wet slurry's mass stays once the excess water has left."""
    if compound.bound_water_ratio is None:
        return None
    return (1 + min(compound.bound_water_ratio, water_ratio) + load) / (1 + water_ratio + load)


def _fills(
    casts: Sequence[CastFacts], density: float, dry_part: float | None, scale_step_mg: int
) -> tuple[Fill, ...]:
    fills: list[Fill] = []
    after = 0.0
    for cast in casts:
        wet_mg = cast.volume_ul * density
        for number in range(1, cast.count + 1):
            fills.append(
                Fill(
                    name=cast.name,
                    number=number,
                    volume_ul=cast.volume_ul,
                    fill_mg=_round_near(wet_mg, scale_step_mg),
                    dry_mg=None if dry_part is None else round(wet_mg * dry_part),
                    starts_after_minutes=after,
                    fill_minutes=cast.fill_minutes,
                )
            )
            after += cast.fill_minutes
    return tuple(fills)


def _coarse_pigments(
    powder_mg: int,
    pigments: Sequence[PigmentFacts],
    weights: Sequence[PigmentWeight],
    step_mg: int,
) -> list[MixWarning]:
    """Say which pigments the scale cannot weigh closely enough for the colour to come out."""
    warnings = []
    for pigment, weight in zip(pigments, weights, strict=True):
        exact_mg = powder_mg * pigment.loading_percent / 100
        if exact_mg > 0 and abs(weight.weight_mg - exact_mg) > PIGMENT_ROUNDING_WARN * exact_mg:
            exact = format_amount(round(exact_mg), "g")
            step = format_amount(step_mg, "g")
            sentence = f"{pigment.name} {exact} is too little for a scale that shows {step}."
            warnings.append(MixWarning("scale too coarse", sentence))
    return warnings


def _round_up(exact_mg: float, step_mg: int) -> int:
    return math.ceil(exact_mg / step_mg - ROUNDING_GRACE) * step_mg


def _round_near(exact_mg: float, step_mg: int) -> int:
    return round(exact_mg / step_mg) * step_mg
