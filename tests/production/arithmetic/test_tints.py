"""A colour at a fraction of its strength."""

from __future__ import annotations

import pytest

from production.arithmetic.tints import check_strength, tint_drawn_as, tinted_reflectance
from production.errors import TintRefused


def test_half_the_pigment_of_the_worked_example_reflects_what_it_should() -> None:
    """Source: Kubelka and Munk 1931, single constant, worked here by hand: bare 0.90 (K/S 0.0055556) and full
    0.40 (K/S 0.45): half has K/S 0.2277778, R = 1 + x - sqrt(x^2 + 2x) = 0.5154."""
    assert tinted_reflectance(0.90, 0.40, 0.5) == pytest.approx(0.5154, abs=5e-5)


def test_all_of_it_is_the_colour_and_none_of_it_the_bare_casting() -> None:
    assert tinted_reflectance(0.90, 0.40, 1) == pytest.approx(0.40)
    assert tinted_reflectance(0.90, 0.40, 0) == pytest.approx(0.90)


def test_a_tint_is_drawn_lighter_than_its_colour_and_darker_than_the_bare_casting() -> None:
    brick, half, hint = "#94473A", tint_drawn_as("#94473A", 0.5), tint_drawn_as("#94473A", 0.05)

    for place in (1, 3, 5):
        channels = [int(colour[place : place + 2], 16) for colour in (brick, half, hint)]
        assert channels == sorted(channels) and channels[0] < channels[2]


@pytest.mark.parametrize("strength", [0, 1, -0.2, float("nan")])
def test_all_or_nothing_is_no_tint(strength: float) -> None:
    with pytest.raises(TintRefused, match="Type 1 to 99 %"):
        check_strength(strength)
