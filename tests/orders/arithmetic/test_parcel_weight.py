"""The scale against the sum."""

from __future__ import annotations

import pytest

from orders.arithmetic.parcel_weight import judge_weight, usual_box_mg

G = 1_000


@pytest.mark.parametrize("scale_g", [1_150, 1_310, 1_350, 1_550])
def test_half_the_lightest_piece_may_lie_between(scale_g):
    """Pieces of 800 and 400 g in a box of 150 g are 1350 g; from 1150 to 1550 g it may be they."""
    assert judge_weight(scale_g * G, [800 * G, 400 * G], 150 * G).verdict == "fine"


def test_a_missing_and_an_added_piece_are_seen():
    assert judge_weight(950 * G, [800 * G, 400 * G], 150 * G).verdict == "light"
    assert judge_weight(1_750 * G, [800 * G, 400 * G], 150 * G).verdict == "heavy"


def test_without_a_known_box_only_what_is_too_light_or_absurd_is_said():
    assert judge_weight(2_900 * G, [800 * G, 400 * G], None).verdict == "fine"
    assert judge_weight(900 * G, [800 * G, 400 * G], None).verdict == "light"
    assert judge_weight(3_300 * G, [800 * G, 400 * G], None).verdict == "heavy"


def test_the_usual_box_is_the_middle_of_three_or_more():
    assert usual_box_mg([(1_350, 1_200), (1_000, 860), (5_000, 1_200)]) == 150
    assert usual_box_mg([(1_350, 1_200), (1_000, 860)]) is None
