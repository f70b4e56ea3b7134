"""What plaster takes up when it sets, from its formula."""

from __future__ import annotations

# Molar masses in g/mol. Source: NIOSH Pocket Guide to Chemical Hazards, entries plaster of Paris (145.2) and
# gypsum (172.2), and standard atomic weights.
MOLAR_MASS_WATER = 18.015
MOLAR_MASS_HEMIHYDRATE = 145.15
MOLAR_MASS_DIHYDRATE = 172.17

# CaSO4.0.5H2O + 1.5 H2O -> CaSO4.2H2O: mass of water bound by one mass of pure hemihydrate (0.1862).
WATER_UPTAKE = 1.5 * MOLAR_MASS_WATER / MOLAR_MASS_HEMIHYDRATE


def hemihydrate_part(powder_mg: float, dry_mg: float) -> float:
    """Give which part of a powder sets (0 to 1), learned from one weighed and fully dried casting.

    Parameters: the powder that went into the casting and the casting's constant dry mass, in the same unit.
    The rest is taken as inert; an answer above 1.02 means that the casting is still wet.

    Source: stoichiometry, (dry / powder - 1) / 0.1862.
    """
    if powder_mg <= 0 or dry_mg <= 0:
        raise ValueError("masses are above zero")
    return (dry_mg / powder_mg - 1) / WATER_UPTAKE


def bound_water_ratio(hemihydrate: float) -> float:
    """Give the mass of water bound per mass of powder of which the part `hemihydrate` (0 to 1) sets."""
    return WATER_UPTAKE * hemihydrate
