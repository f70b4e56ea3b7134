"""A colour at a fraction of its strength: its pigments, and about how it will look."""

from __future__ import annotations

import math

from production.arithmetic.colour_difference import from_srgb, to_srgb
from production.errors import TintRefused

# Light the bare dry casting gives back; from memory, for drawing only.
BARE_REFLECTANCE = 0.90
STRENGTH_LEAST, STRENGTH_MOST = 0.01, 0.99


def check_strength(strength: float) -> None:
    """Refuse a strength that makes no tint. Raises: TintRefused (facts `field`)."""
    if not STRENGTH_LEAST <= strength <= STRENGTH_MOST:
        raise TintRefused(
            f"{strength * 100:g} % of a colour is no tint of it. Type 1 to 99 %.", field="strength"
        )


def tinted_reflectance(bare: float, full: float, strength: float) -> float:
    """Give what a tint reflects (0 to 1) between the bare casting and the colour at full strength.

    Absorption over scattering adds up: K/S = K/S of the bare + strength x (K/S of the full - of the bare).

    Source: Kubelka and Munk 1931, K/S = (1 - R)^2 / (2 R); one constant for each pigment, as reviewed by
    Berns and Mohammadi, Color Research and Application 32 (2007). Holds while the white powder scatters most.
    """
    ratio = _ks(bare) + strength * (_ks(full) - _ks(bare))
    return 1 + ratio - math.sqrt(ratio * ratio + 2 * ratio)


def tint_drawn_as(full_hex: str, strength: float) -> str:
    """Give about the shade a tint of a drawn colour (#RRGGBB) has, for a picture until it was measured."""
    drawn = []
    for place in (1, 3, 5):
        light = from_srgb(int(full_hex[place : place + 2], 16) / 255)
        # A channel lighter than the bare casting, or black, has no place on the scale.
        full = min(BARE_REFLECTANCE, max(0.001, light))
        drawn.append(round(255 * to_srgb(tinted_reflectance(BARE_REFLECTANCE, full, strength))))
    return "#" + "".join(f"{value:02X}" for value in drawn)


def _ks(reflectance: float) -> float:
    return (1 - reflectance) ** 2 / (2 * reflectance)
