"""How far two measured colours are apart."""

from __future__ import annotations

import pytest

from production.arithmetic.colour_difference import Lab, check_lab, ciede2000, difference_words, drawn_as
from production.errors import SwatchRefused

# Source: Sharma, Wu and Dalal, "The CIEDE2000 Color-Difference Formula", Color Research and Application 30
# (2005) 21-30, table 1: all 34 pairs, L* a* b* of both, and dE00 to four places.
PAIRS = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""


@pytest.mark.parametrize("pair", PAIRS.strip().splitlines(), ids=range(1, 35))
def test_the_published_pairs_are_as_far_apart_as_published(pair: str) -> None:
    figures = [float(figure) for figure in pair.split()]
    first, second = Lab(*figures[:3]), Lab(*figures[3:6])

    assert ciede2000(first, second) == pytest.approx(figures[6], abs=5e-5)
    assert ciede2000(second, first) == pytest.approx(figures[6], abs=5e-5)


def test_a_colour_is_no_way_from_itself() -> None:
    assert ciede2000(Lab(45.2, 32.1, 20.4), Lab(45.2, 32.1, 20.4)) == 0


@pytest.mark.parametrize(
    ("difference", "words"),
    [
        (0.4, "no eye sees it"),
        (1.5, "seen only edge to edge"),
        (3, "seen side by side"),
        (8, "another colour"),
    ],
)
def test_a_difference_is_said_in_words(difference: float, words: str) -> None:
    """Source: common practice, no source."""
    assert difference_words(difference) == words


@pytest.mark.parametrize(
    ("lab", "hex_colour"),
    [
        (Lab(100, 0, 0), "#FFFFFF"),
        (Lab(0, 0, 0), "#000000"),
        (Lab(53.2408, 80.0925, 67.2032), "#FF0000"),
        (Lab(53.5850, 0, 0), "#808080"),
    ],
)
def test_the_corners_of_the_screens_colours_are_drawn_as_they_are(lab: Lab, hex_colour: str) -> None:
    """Source: IEC 61966-2-1:1999 primaries and CIE 15:2004; the CIELAB of red is the figure usually printed
    for sRGB (from memory), of middle grey worked by hand from 0.2158605 of white."""
    assert drawn_as(lab) == hex_colour


@pytest.mark.parametrize(
    ("lab", "field"),
    [
        (Lab(101, 0, 0), "lightness"),
        (Lab(-1, 0, 0), "lightness"),
        (Lab(50, 151, 0), "a"),
        (Lab(50, 0, float("nan")), "b"),
    ],
)
def test_what_no_meter_shows_is_refused_beside_its_field(lab: Lab, field: str) -> None:
    with pytest.raises(SwatchRefused) as refused:
        check_lab(lab)

    assert refused.value.facts["field"] == field
