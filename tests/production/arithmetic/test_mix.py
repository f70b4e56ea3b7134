"""What to weigh for one mix."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.arithmetic.mix import (
    CastFacts,
    ColourFacts,
    CompoundFacts,
    MixWeights,
    PigmentFacts,
    mix_weights,
    slurry_density,
)
from production.arithmetic.mix_walls import (
    FillsOutlastWorkingTime,
    MixNumberRefused,
    MixTooLargeForJug,
    NoRecipeForColour,
    NothingToFill,
    OverfillAboveMost,
    PigmentOverLimit,
    RatioTypedAsParts,
    WaterAboveMost,
    WaterBelowUptake,
)

BARE = ColourFacts("Shell", ())
# Invented compound of the tests; only the densities of gypsum are real.
PLASTER = CompoundFacts(
    "slow plaster", powder_density_g_per_ml=2.63, water_ratio=0.7, working_time_minutes=15
)
POT = CastFacts("pot", volume_ul=300_000, count=2, fill_minutes=3)


def weights_of(
    compound: CompoundFacts = PLASTER, casts: tuple[CastFacts, ...] = (POT,), colour: ColourFacts = BARE
) -> MixWeights:
    return mix_weights(casts, compound, colour, scale_step_mg=1, pigment_step_mg=1)


@pytest.mark.parametrize(
    ("consistency", "wet", "dry"),
    [
        (30, 1.9096, 1.7424),
        (40, 1.7927, 1.5189),
        (50, 1.7024, 1.3462),
        (60, 1.6305, 1.2088),
        (70, 1.5719, 1.0968),
        (80, 1.5233, 1.0038),
        (90, 1.4822, 0.9254),
        (100, 1.4472, 0.8583),
    ],
)
def test_slurry_and_dry_casting_have_the_tabled_densities(consistency: int, wet: float, dry: float) -> None:
    """Source: ideal mixing (ASTM C472 consistency, beta hemihydrate 2.63 g/mL, from memory), worked here."""
    compound = replace(PLASTER, water_ratio=consistency / 100, bound_water_ratio=0.1862)

    made = weights_of(compound, (CastFacts("block", 1_000_000, 1),))

    assert slurry_density(2.63, consistency / 100) == pytest.approx(wet, abs=1e-4)
    assert made.slurry_density_g_per_ml == pytest.approx(wet, abs=1e-4)
    assert made.fills[0].dry_mg == pytest.approx(dry * 1_000_000, abs=100)


@pytest.mark.parametrize(
    ("consistency", "loss_percent"), [(40, 15.27), (60, 25.86), (70, 30.22), (80, 34.10)]
)
def test_the_loss_from_wet_to_dry_is_the_water_that_is_not_bound(
    consistency: int, loss_percent: float
) -> None:
    """Source: stoichiometry, (C - W0) / (100 + C), worked here."""
    fill = weights_of(replace(PLASTER, water_ratio=consistency / 100, bound_water_ratio=0.1862)).fills[0]

    assert fill.dry_mg is not None
    assert 100 * (1 - fill.dry_mg / fill.fill_mg) == pytest.approx(loss_percent, abs=0.02)


def test_the_worked_mix_of_half_a_litre() -> None:
    """Source: ideal mixing: 500 mL + 5 %, alpha 2.76 g/mL (from memory), 40 water, 2 pigment at 4.0 g/mL.

    Worked: powder 683.56 g, water 273.42 g, pigment 13.67 g; their volumes close to 525.00 mL.
    """
    compound = CompoundFacts("alpha", 2.76, 0.40, 15, overfill_percent=5)
    colour = ColourFacts("Slate", (PigmentFacts("black oxide", 2.0, 4.0),))

    made = weights_of(compound, (CastFacts("block", 500_000, 1),), colour)

    assert made.powder_mg == pytest.approx(683_560, abs=50)
    assert made.water_mg == pytest.approx(273_420, abs=50)
    assert made.pigments[0].weight_mg == pytest.approx(13_670, abs=50)
    volume_ml = made.powder_mg / 2760 + made.water_mg / 998.2 + made.pigments[0].weight_mg / 4000
    assert volume_ml == pytest.approx(525.00, abs=0.01)


@given(
    ratio=st.floats(0.2, 1.4),
    density=st.floats(2.0, 3.2),
    residue=st.integers(0, 100_000),
    overfill=st.floats(0, 40),
    volumes=st.lists(st.integers(10_000, 900_000), min_size=1, max_size=4),
)
def test_what_is_weighed_fills_the_moulds_the_extra_and_the_residue(
    ratio: float, density: float, residue: int, overfill: float, volumes: list[int]
) -> None:
    compound = CompoundFacts("x", density, ratio, 60, residue_ul=residue, overfill_percent=overfill)

    made = weights_of(compound, tuple(CastFacts(f"m{n}", volume, 1) for n, volume in enumerate(volumes)))

    poured_ul = made.powder_mg / density + made.water_mg / 0.9982
    assert poured_ul == pytest.approx(sum(volumes) * (1 + overfill / 100) + residue, abs=3)
    assert made.total_mg >= made.fills_mg - len(volumes)


def test_a_measured_yield_wins_over_the_densities() -> None:
    """Worked here: 90 mL from 100 g, so 900 mL takes 1000 g of powder and 300 g of water."""
    compound = replace(PLASTER, water_ratio=0.30, measured_yield_ml_per_100_g=90.0)

    made = weights_of(compound, (CastFacts("block", 900_000, 1),))

    assert made.powder_mg == 1_000_000
    assert made.water_mg == 300_000
    assert made.slurry_density_g_per_ml == pytest.approx(1300 / 900, abs=1e-9)


def test_water_added_to_a_measured_yield_adds_its_own_volume() -> None:
    """Worked here: 10 % thinner is 3 g more water per 100 g, 3.0054 mL at 0.9982 g/mL: 93.0054 mL."""
    compound = replace(PLASTER, water_ratio=0.30, measured_yield_ml_per_100_g=90.0)

    made = mix_weights(
        [CastFacts("block", 930_054, 1)], compound, BARE, water_adjust_percent=10, scale_step_mg=1
    )

    assert made.powder_mg == pytest.approx(1_000_000, abs=2)
    assert made.water_mg == pytest.approx(330_000, abs=2)


def test_the_sieve_allowance_mixes_extra_of_everything() -> None:
    compound = replace(PLASTER, sieve_allowance_percent=2.0)
    plain, sieved = (
        mix_weights([POT], compound, BARE, sieve=sieve, scale_step_mg=1) for sieve in (False, True)
    )

    assert sieved.powder_mg == pytest.approx(plain.powder_mg / 0.98, abs=2)
    assert sieved.water_mg == pytest.approx(plain.water_mg / 0.98, abs=2)
    assert sieved.fills == plain.fills


def test_powder_is_rounded_up_and_the_rest_follows_from_the_rounded_powder() -> None:
    """Worked here: 896.4 mL at 90 mL per 100 g takes 996 g; a scale of 5 g steps is filled to 1000 g."""
    compound = replace(PLASTER, water_ratio=0.333, measured_yield_ml_per_100_g=90.0)
    colour = ColourFacts("Brick", (PigmentFacts("red oxide", 2.0), PigmentFacts("black oxide", 0.21)))

    made = mix_weights(
        [CastFacts("block", 896_400, 1)],
        compound,
        colour,
        scale_step_mg=5000,
        water_step_mg=1000,
        pigment_step_mg=100,
    )

    assert made.powder_mg == 1_000_000
    assert made.water_mg == 333_000
    assert [pigment.weight_mg for pigment in made.pigments] == [20_000, 2_100]
    assert made.total_mg == 1_355_100


def test_a_powder_on_the_scales_step_is_not_rounded_up_by_another() -> None:
    """Worked here: at 70 mL per 100 g, 0.7 mL take a gram; in binary fractions 0.7 mL take a hair more."""
    compound = replace(PLASTER, water_ratio=0.30, measured_yield_ml_per_100_g=70.0)

    for powder_g in (1, 2, 4, 8, 15, 100):
        made = mix_weights([CastFacts("block", powder_g * 700, 1)], compound, BARE, scale_step_mg=1000)
        assert made.powder_mg == powder_g * 1000


def test_fills_come_in_the_order_given_one_for_each_mould_with_their_start() -> None:
    made = weights_of(casts=(POT, CastFacts("saucer", 100_000, 2, 1.5)))

    assert [(fill.name, fill.number, fill.starts_after_minutes) for fill in made.fills] == [
        ("pot", 1, 0.0),
        ("pot", 2, 3.0),
        ("saucer", 1, 6.0),
        ("saucer", 2, 7.5),
    ]
    assert made.fill_minutes == 9.0
    assert made.fills[0].fill_mg == pytest.approx(3 * made.fills[2].fill_mg, abs=2)


def test_thinner_means_more_water_and_a_lighter_fill() -> None:
    thick, plain, thin = (
        mix_weights([POT], PLASTER, BARE, water_adjust_percent=percent, scale_step_mg=1)
        for percent in (-5, 0, 5)
    )

    assert thick.water_ratio == pytest.approx(0.665)
    assert thin.water_ratio == pytest.approx(0.735)
    assert thick.slurry_density_g_per_ml > plain.slurry_density_g_per_ml > thin.slurry_density_g_per_ml
    assert thick.powder_mg > plain.powder_mg > thin.powder_mg


def test_the_dry_mass_is_left_open_where_the_compounds_chemistry_is_not_known() -> None:
    assert weights_of().fills[0].dry_mg is None


def test_less_water_than_the_powder_takes_up_is_refused() -> None:
    """Source: stoichiometry, 18.6 of water per 100 of hemihydrate."""
    weights_of(replace(PLASTER, water_ratio=0.187))

    with pytest.raises(WaterBelowUptake) as refused:
        weights_of(replace(PLASTER, water_ratio=0.18))

    assert refused.value.facts["least_ratio"] == 0.186
    assert refused.value.message == (
        "18 of water per 100 of powder is less than the 18.6 the powder takes up when it sets."
        " Use more water."
    )


def test_made_thicker_below_what_the_powder_takes_up_is_refused() -> None:
    compound = replace(PLASTER, water_ratio=0.25, bound_water_ratio=0.22)

    with pytest.raises(WaterBelowUptake):
        mix_weights([POT], compound, BARE, water_adjust_percent=-13)


def test_a_ratio_typed_as_parts_per_hundred_is_refused_with_an_offer() -> None:
    with pytest.raises(RatioTypedAsParts) as refused:
        mix_weights([POT], replace(PLASTER, water_ratio=40), BARE, water_adjust_percent=10)

    assert refused.value.facts["offer"] == pytest.approx(0.4)


def test_a_colour_without_a_recipe_is_refused_by_name() -> None:
    with pytest.raises(NoRecipeForColour) as refused:
        weights_of(colour=ColourFacts("Rust", None))

    assert refused.value.message == "No recipe for Rust in slow plaster. Add its pigments first."


def test_more_pigment_than_the_compound_carries_is_refused() -> None:
    """Source: ASTM C979/C979M clause 1.4: at most 10 % of the cement's mass, all pigments together."""
    load = ColourFacts("Rust", (PigmentFacts("red", 6.0), PigmentFacts("yellow", 4.5)))

    with pytest.raises(PigmentOverLimit) as refused:
        weights_of(colour=load)

    assert refused.value.facts == {"load_percent": 10.5, "limit_percent": 10.0}


def test_a_mix_heavier_than_the_jug_takes_is_refused() -> None:
    fits = weights_of().total_mg
    assert weights_of(replace(PLASTER, jug_capacity_mg=fits)).total_mg == fits

    with pytest.raises(MixTooLargeForJug) as refused:
        weights_of(replace(PLASTER, jug_capacity_mg=fits - 1))

    assert refused.value.facts == {"mix_mg": fits, "jug_mg": fits - 1}
    assert "Leave a mould out" in refused.value.message


def test_fills_that_outlast_the_working_time_are_refused() -> None:
    weights_of(casts=(replace(POT, count=5),))

    with pytest.raises(FillsOutlastWorkingTime) as refused:
        weights_of(casts=(replace(POT, count=6),))

    assert refused.value.facts == {"fill_minutes": 18, "working_time_minutes": 15}
    assert refused.value.message == (
        "Filling takes 18 min and slow plaster stays workable 15 min. Leave a mould out."
    )


def test_stirring_takes_its_minutes_from_the_working_time() -> None:
    stirred = replace(PLASTER, stir_minutes=4)
    weights_of(stirred, casts=(replace(POT, count=3),))

    with pytest.raises(FillsOutlastWorkingTime) as refused:
        weights_of(stirred, casts=(replace(POT, count=4),))

    assert refused.value.message == (
        "Stirring takes 4 min, filling takes 12 min and slow plaster stays workable 15 min."
        " Leave a mould out."
    )


@pytest.mark.parametrize(
    ("compound", "casts", "error"),
    [
        (PLASTER, (), NothingToFill),
        (PLASTER, (replace(POT, count=0),), NothingToFill),
        (PLASTER, (replace(POT, volume_ul=0),), MixNumberRefused),
        (PLASTER, (replace(POT, volume_ul=-5),), MixNumberRefused),
        (PLASTER, (replace(POT, fill_minutes=float("nan")),), MixNumberRefused),
        (replace(PLASTER, powder_density_g_per_ml=0), (POT,), MixNumberRefused),
        (replace(PLASTER, water_ratio=0), (POT,), MixNumberRefused),
        (replace(PLASTER, water_ratio=float("nan")), (POT,), MixNumberRefused),
        (replace(PLASTER, water_ratio=float("inf")), (POT,), MixNumberRefused),
        (replace(PLASTER, water_ratio=1.6), (POT,), WaterAboveMost),
        (replace(PLASTER, overfill_percent=51), (POT,), OverfillAboveMost),
        (replace(PLASTER, overfill_percent=-1), (POT,), MixNumberRefused),
        (replace(PLASTER, residue_ul=-1), (POT,), MixNumberRefused),
        (replace(PLASTER, sieve_allowance_percent=100), (POT,), MixNumberRefused),
        (replace(PLASTER, measured_yield_ml_per_100_g=0), (POT,), MixNumberRefused),
    ],
)
def test_nonsense_is_refused_by_name(
    compound: CompoundFacts, casts: tuple[CastFacts, ...], error: type[Exception]
) -> None:
    with pytest.raises(error):
        weights_of(compound, casts)


@pytest.mark.parametrize(
    ("compound", "colour", "water_adjust_percent", "code"),
    [
        (replace(PLASTER, water_ratio=0.22), BARE, 0, "little water"),
        (replace(PLASTER, water_ratio=0.95), BARE, 0, "much water"),
        (PLASTER, BARE, 12, "far from the ratio"),
        (replace(PLASTER, overfill_percent=16), BARE, 0, "much overfill"),
        (PLASTER, ColourFacts("Rust", (PigmentFacts("red", 6.0),)), 0, "much pigment"),
        (PLASTER, ColourFacts("Fog", (PigmentFacts("black", 0.02),)), 0, "scale too coarse"),
    ],
)
def test_soft_walls_are_said_and_do_not_stop_the_mix(
    compound: CompoundFacts, colour: ColourFacts, water_adjust_percent: float, code: str
) -> None:
    made = mix_weights([POT], compound, colour, water_adjust_percent=water_adjust_percent)

    assert [warning.code for warning in made.warnings] == [code]
    assert made.powder_mg > 0


def test_an_everyday_mix_has_no_warnings() -> None:
    colour = ColourFacts("Brick", (PigmentFacts("red oxide", 2.0),))

    assert weights_of(replace(PLASTER, overfill_percent=6), colour=colour).warnings == ()
