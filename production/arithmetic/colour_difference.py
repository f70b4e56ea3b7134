"""How far two measured colours are apart, and how a measured colour is drawn on a screen."""

from __future__ import annotations

import math
from dataclasses import dataclass

from production.errors import SwatchRefused

LIGHTNESS_MOST = 100.0
CHROMA_AXIS_MOST = 150.0
# White of daylight D65 for the 2 degree observer. Source: CIE 15:2004, table T.3.
WHITE_D65 = (0.95047, 1.0, 1.08883)


@dataclass(frozen=True)
class Lab:
    """A colour as a colour meter shows it: CIELAB lightness, red or green, yellow or blue."""

    lightness: float
    a: float
    b: float

    def __str__(self) -> str:
        return f"L* {self.lightness:g}, a* {self.a:g}, b* {self.b:g}"


def check_lab(lab: Lab) -> None:
    """Refuse what no colour meter shows. Raises: SwatchRefused (facts `field`)."""
    if not 0 <= lab.lightness <= LIGHTNESS_MOST:
        raise SwatchRefused(
            f"L* is {lab.lightness:g}. It goes from 0, black, to 100, white.", field="lightness"
        )
    for name, value in (("a", lab.a), ("b", lab.b)):
        if not abs(value) <= CHROMA_AXIS_MOST:
            raise SwatchRefused(f"{name}* is {value:g}. It goes from -150 to 150.", field=name)


def ciede2000(first: Lab, second: Lab) -> float:
    """Give the colour difference dE00 of two colours, with the weights of the standard (kL = kC = kH = 1).

    Source: ISO/CIE 11664-6:2014; Sharma, Wu and Dalal, Color Research and Application 30 (2005) 21-30.
    """
    chroma = (math.hypot(first.a, first.b) + math.hypot(second.a, second.b)) / 2
    # Greys are stretched along a*, where the eye sees more.
    stretch = 1 + 0.5 * (1 - math.sqrt(chroma**7 / (chroma**7 + 25**7)))
    c1, h1 = _polar(first.a * stretch, first.b)
    c2, h2 = _polar(second.a * stretch, second.b)
    mean_l, mean_c = (first.lightness + second.lightness) / 2, (c1 + c2) / 2
    turn, mean_h = _hues(h1, h2, is_grey=c1 * c2 == 0)

    d_l, d_c = second.lightness - first.lightness, c2 - c1
    d_h = 2 * math.sqrt(c1 * c2) * _sin(turn / 2)
    t = (
        1
        - 0.17 * _cos(mean_h - 30)
        + 0.24 * _cos(2 * mean_h)
        + 0.32 * _cos(3 * mean_h + 6)
        - 0.20 * _cos(4 * mean_h - 63)
    )
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)
    s_c, s_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    rotation = -_sin(60 * math.exp(-(((mean_h - 275) / 25) ** 2)))
    rotation *= 2 * math.sqrt(mean_c**7 / (mean_c**7 + 25**7))
    lighter, stronger, other = d_l / s_l, d_c / s_c, d_h / s_h
    return math.sqrt(lighter**2 + stronger**2 + other**2 + rotation * stronger * other)


def difference_words(difference: float) -> str:
    """Say what a dE00 means to an eye. The steps are common practice, no source."""
    for most, words in (
        (1.0, "no eye sees it"),
        (2.0, "seen only edge to edge"),
        (5.0, "seen side by side"),
    ):
        if difference < most:
            return words
    return "another colour"


def drawn_as(lab: Lab) -> str:
    """Give the nearest colour a screen can draw, as #RRGGBB; for a picture, never for a comparison.

    Source: CIE 15:2004 (CIELAB backwards, white D65); IEC 61966-2-1:1999 (sRGB).
    """
    y = (lab.lightness + 16) / 116
    parts = (y + lab.a / 500, y, y - lab.b / 200)
    xyz = [
        white * (part**3 if part > 6 / 29 else 3 * (6 / 29) ** 2 * (part - 4 / 29))
        for part, white in zip(parts, WHITE_D65, strict=True)
    ]
    rows = (
        (3.2406, -1.5372, -0.4986),
        (-0.9689, 1.8758, 0.0415),
        (0.0557, -0.2040, 1.0570),
    )
    light = [sum(factor * value for factor, value in zip(row, xyz, strict=True)) for row in rows]
    return "#" + "".join(f"{round(255 * to_srgb(min(1.0, max(0.0, value)))):02X}" for value in light)


def to_srgb(light: float) -> float:
    """Turn linear light, 0 to 1, into the value of a screen. Source: IEC 61966-2-1:1999."""
    return 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


def from_srgb(value: float) -> float:
    """Turn the value of a screen, 0 to 1, into linear light. Source: IEC 61966-2-1:1999."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _polar(a: float, b: float) -> tuple[float, float]:
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360


def _hues(h1: float, h2: float, *, is_grey: bool) -> tuple[float, float]:
    """The turn from one hue to the other, the short way round, and the hue between them."""
    if is_grey:
        return 0.0, h1 + h2
    turn = (h2 - h1 + 180) % 360 - 180
    if abs(h1 - h2) <= 180:
        return turn, (h1 + h2) / 2
    return turn, (h1 + h2 + (360 if h1 + h2 < 360 else -360)) / 2


def _sin(degrees: float) -> float:
    return math.sin(math.radians(degrees))


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))
