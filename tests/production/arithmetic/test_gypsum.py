"""What plaster takes up when it sets."""

from __future__ import annotations

import periodictable
import pytest

from production.arithmetic.gypsum import (
    MOLAR_MASS_DIHYDRATE,
    MOLAR_MASS_HEMIHYDRATE,
    MOLAR_MASS_WATER,
    WATER_UPTAKE,
    bound_water_ratio,
    hemihydrate_part,
)


@pytest.mark.parametrize(
    ("mass", "formula"),
    [
        (MOLAR_MASS_WATER, "H2O"),
        (MOLAR_MASS_HEMIHYDRATE, "CaSO4+0.5H2O"),
        (MOLAR_MASS_DIHYDRATE, "CaSO4+2H2O"),
    ],
)
def test_molar_masses_are_those_of_the_standard_atomic_weights(mass: float, formula: str) -> None:
    """Source: standard atomic weights as in the `periodictable` library."""
    assert mass == pytest.approx(periodictable.formula(formula).mass, abs=0.01)


def test_molar_masses_are_those_the_pocket_guide_prints() -> None:
    """Source: NIOSH Pocket Guide to Chemical Hazards: plaster of Paris 145.2, gypsum 172.2."""
    assert round(MOLAR_MASS_HEMIHYDRATE + 1e-9, 1) == 145.2
    assert round(MOLAR_MASS_DIHYDRATE, 1) == 172.2


def test_a_hundred_of_hemihydrate_bind_eighteen_point_six_of_water() -> None:
    """Source: stoichiometry, 18.62 (handbooks quote 18.6)."""
    assert pytest.approx(18.62, abs=0.02) == 100 * WATER_UPTAKE


def test_water_of_crystallisation_is_that_of_the_old_handbooks() -> None:
    """Source: 19th-century analytical text: dihydrate 20.93 %, hemihydrate 6.2 %."""
    in_dihydrate = 100 * 2 * MOLAR_MASS_WATER / MOLAR_MASS_DIHYDRATE
    in_hemihydrate = 100 * 0.5 * MOLAR_MASS_WATER / MOLAR_MASS_HEMIHYDRATE

    assert in_dihydrate == pytest.approx(20.93, abs=0.02)
    assert in_hemihydrate == pytest.approx(6.21, abs=0.02)


def test_the_part_that_sets_is_learned_from_one_dried_casting() -> None:
    """Source: stoichiometry: 700 g of powder that dried to 818 g hold 0.905 of hemihydrate."""
    assert hemihydrate_part(700_000, 818_000) == pytest.approx(0.905, abs=0.001)


def test_a_powder_half_inert_binds_half_the_water() -> None:
    assert bound_water_ratio(0.5) == pytest.approx(0.0931, abs=1e-4)


def test_masses_of_nothing_teach_nothing() -> None:
    with pytest.raises(ValueError, match="above zero"):
        hemihydrate_part(0, 818_000)
