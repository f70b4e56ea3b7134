"""What a piece cost."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.arithmetic.costing import (
    CARRIED_LINE,
    HANDS_LINE,
    MIX_LINE,
    CostLine,
    PieceFacts,
    cost_of_mix,
    hands_cost,
    mould_wear,
)

# Amounts of money that no whole minor unit holds.
THIRDS = st.builds(Fraction, st.integers(0, 30_000), st.sampled_from([1, 3, 7, 997]))
PIECES = st.lists(
    st.builds(
        PieceFacts,
        key=st.uuids().map(str),
        volume_ul=st.integers(1, 10**6),
        outcome=st.sampled_from(["good", "second", "scrap"]),
        own_costs=st.lists(
            st.builds(CostLine, st.sampled_from(["sealer", "wax"]), THIRDS),
            max_size=3,
        ).map(tuple),
        hands_minutes=THIRDS,
    ),
    min_size=1,
    max_size=8,
)


def test_good_pieces_share_the_mix_by_volume() -> None:
    """Worked here: a mix of 10.00 over 300 and 200 mL is 6.00 and 4.00."""
    cost = cost_of_mix(
        Fraction(1000), [PieceFacts("pot", 300_000, "good"), PieceFacts("cup", 200_000, "good")]
    )

    assert [(piece.key, piece.total_minor) for piece in cost.pieces] == [("pot", 600), ("cup", 400)]
    assert cost.failed_minor == 0


def test_scrap_and_seconds_are_carried_by_the_good_pieces_and_shown() -> None:
    """Worked here: mix 9.00 over three equal pieces, hands 10 min each at 12.00 an hour (2.00).

    One is scrap and had 0.50 of sealer: it cost 3.00 + 2.00 + 0.50 = 5.50, 2.75 for each good one.
    """
    pieces = [
        PieceFacts("a", 100_000, "good", hands_minutes=Fraction(10)),
        PieceFacts("b", 100_000, "good", hands_minutes=Fraction(10)),
        PieceFacts("c", 100_000, "scrap", (CostLine("sealer", Fraction(50)),), Fraction(10)),
    ]

    cost = cost_of_mix(Fraction(900), pieces, rate_minor_per_hour=1200)

    assert cost.total_minor == 1550
    assert cost.failed_minor == 550
    assert [piece.lines for piece in cost.pieces] == [
        ((MIX_LINE, 300), (HANDS_LINE, 200), (CARRIED_LINE, 275)),
        ((MIX_LINE, 300), (HANDS_LINE, 200), (CARRIED_LINE, 275)),
    ]


def test_larger_good_pieces_carry_more_of_the_scrap() -> None:
    """Worked here: mix 6.00 over 3, 1 and 2 parts; the scrap's 2.00 goes 3 to 1: 1.50 and 0.50."""
    pieces = [PieceFacts("a", 3, "good"), PieceFacts("b", 1, "good"), PieceFacts("c", 2, "scrap")]

    cost = cost_of_mix(Fraction(600), pieces)

    assert [piece.minor_of(CARRIED_LINE) for piece in cost.pieces] == [150, 50]
    assert [piece.total_minor for piece in cost.pieces] == [450, 150]


def test_a_mix_without_a_good_piece_is_lost_in_one_named_place() -> None:
    cost = cost_of_mix(Fraction(901, 2), [PieceFacts("a", 1, "scrap"), PieceFacts("b", 2, "second")])

    assert cost.pieces == ()
    assert cost.total_minor == cost.lost_minor == cost.failed_minor == 450


@settings(max_examples=60)
@given(PIECES, THIRDS, st.integers(0, 5000))
def test_nothing_is_lost_to_rounding(pieces: list[PieceFacts], mix_minor: Fraction, rate: int) -> None:
    cost = cost_of_mix(mix_minor, pieces, rate_minor_per_hour=rate)

    own = sum(line.exact_minor for piece in pieces for line in piece.own_costs)
    hands = sum(piece.hands_minutes for piece in pieces) * rate / 60
    assert abs(cost.total_minor - (mix_minor + own + hands)) <= Fraction(1, 2)
    assert sum(piece.total_minor for piece in cost.pieces) + cost.lost_minor == cost.total_minor
    assert {piece.key for piece in cost.pieces} == {one.key for one in pieces if one.outcome == "good"}
    assert all(minor >= 0 for piece in cost.pieces for _, minor in piece.lines)


def test_three_pieces_of_one_pound_keep_the_odd_penny() -> None:
    pieces = [PieceFacts(key, 1, "good") for key in "abc"]

    cost = cost_of_mix(Fraction(100), pieces)

    assert [piece.total_minor for piece in cost.pieces] == [34, 33, 33]


def test_mould_wear_and_hands_are_exact_until_the_end() -> None:
    """Worked here: a 45.00 mould of 180 casts; 20 min at 18.50 an hour is 6.1666..."""
    assert mould_wear(4500, 180) == 25
    assert mould_wear(100, 3) == Fraction(100, 3)
    assert hands_cost(Fraction(20), 1850) == Fraction(3700, 6)


def test_a_line_is_found_by_its_name() -> None:
    piece = PieceFacts("a", 1, "good", (CostLine("wax", Fraction(3)), CostLine("wax", Fraction(4))))

    cost = cost_of_mix(Fraction(0), [piece]).pieces[0]

    assert cost.minor_of("wax") == 7
    assert cost.minor_of("cork") == 0


def test_what_cannot_be_costed_is_a_fault() -> None:
    with pytest.raises(ValueError, match="a mix has pieces"):
        cost_of_mix(Fraction(1), [])
    with pytest.raises(ValueError, match="a mix has pieces"):
        cost_of_mix(Fraction(1), [PieceFacts("a", 0, "good")])
    with pytest.raises(ValueError, match="one cast at least"):
        mould_wear(4500, 0)
