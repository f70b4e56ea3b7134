"""What a piece cost."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from production.arithmetic.costing import (
    CARRIED,
    CostLine,
    PieceFacts,
    carried_by_good,
    cost_of_mix,
    hands_cost,
    mould_wear,
    together,
)

# Amounts of money that no whole minor unit holds.
THIRDS = st.builds(Fraction, st.integers(0, 30_000), st.sampled_from([1, 3, 7, 997]))
LINES = st.lists(st.builds(CostLine, st.sampled_from(["sealer", "wax"]), THIRDS), max_size=2).map(tuple)
NONE = Fraction(0)
PIECES = st.lists(
    st.builds(
        PieceFacts,
        key=st.integers(0, 10**6).map(str),
        volume=st.integers(1, 10**6),
        outcome=st.sampled_from(["good", "second", "scrap"]),
        own_costs=LINES,
    ),
    min_size=1,
    max_size=5,
)


def mix(minor: Fraction | int) -> list[CostLine]:
    return [CostLine("mix", Fraction(minor))]


def test_a_joint_cost_goes_by_volume_and_what_is_lost_on_the_way_is_shared_alike() -> None:
    """Kinney and Raiborn, Cost Accounting: Foundations and Evolutions, 8th ed., on joint costs by measure.

    2,000,000 gallons cost 872,000; 170,000 are lost, 1,555,500 become skim milk and 274,500 cream: 741,200
    and 130,800.
    """
    milk = [CostLine("milk", Fraction(400_000)), CostLine("hands", Fraction(180_000 + 292_000))]

    cost = cost_of_mix(milk, [PieceFacts("skim", 1_555_500, "good"), PieceFacts("cream", 274_500, "good")])

    assert [(piece.key, piece.total_minor) for piece in cost.pieces] == [
        ("skim", 741_200),
        ("cream", 130_800),
    ]
    assert cost.failed_minor == 0


def test_spoiled_units_are_carried_by_the_good_ones_of_the_job() -> None:
    """Worked here on the data of Horngren's Cost Accounting (2018), page 751: 50 units at 2,000, 5 spoiled.

    As nothing is paid for them here, all of the 100,000 is the cost of the 45 good units: 2,222.22 each.
    """
    units = [PieceFacts(str(n), 1, "good" if n < 45 else "scrap") for n in range(50)]

    cost = cost_of_mix(mix(10_000_000), units)

    assert cost.failed_minor == 1_000_000
    assert {piece.total_minor for piece in cost.pieces} == {222_222, 222_223}
    assert sum(piece.total_minor for piece in cost.pieces) == 10_000_000
    assert {piece.total_minor for piece in cost.failed} == {200_000}


def test_spoilage_common_to_all_jobs_is_spread_over_all_good_units() -> None:
    """Horngren's Cost Accounting (2018), page 751.

    7,000 lost in a month that gave 140 good units is 50 for each, 2,050 in all.
    """
    carried = carried_by_good(Fraction(200_000), Fraction(140_000), scrap_casts=NONE, failed=5, good=140)

    assert 200_000 + carried == 205_000


def test_a_job_is_its_materials_its_hours_and_the_wear_of_its_machine() -> None:
    """Job 450 of a managerial accounting question bank (Garrison; title from memory, figures seen).

    3,044 of materials, 46 hours at 15, 104 machine hours at 13: 5,086.
    """
    costs = [
        CostLine("materials", Fraction(304_400)),
        CostLine("hands", hands_cost(Fraction(46 * 60), 1500)),
        CostLine("wear", 104 * mould_wear(1300, 1)),
    ]

    assert cost_of_mix(costs, [PieceFacts("450", 1, "good")]).pieces[0].total_minor == 508_600


def test_wear_is_price_over_the_casts_expected() -> None:
    """Units of production, two textbook exercises (figures seen).

    240,000 to wear off over 40,000 units is 6 a unit, 39,000 for 6,500; 66,000 over 500,000 is 0.132 a
    unit, 11,880 for 90,000.
    """
    assert 6_500 * mould_wear(24_000_000, 40_000) == 3_900_000
    assert 90_000 * mould_wear(6_600_000, 500_000) == 1_188_000


def test_scrap_and_seconds_are_carried_by_the_good_pieces_and_shown() -> None:
    """Worked here: mix 9.00 over three equal pieces, hands 10 min each at 12.00 an hour (2.00).

    One is scrap and had 0.50 of sealer: it cost 3.00 + 2.00 + 0.50 = 5.50, 2.75 for each good one.
    """
    hands = CostLine("hands", hands_cost(Fraction(10), 1200), Fraction(10), "min")
    pieces = [
        PieceFacts("a", 100_000, "good", (hands,)),
        PieceFacts("b", 100_000, "good", (hands,)),
        PieceFacts("c", 100_000, "scrap", (hands, CostLine("sealer", Fraction(50)))),
    ]

    cost = cost_of_mix(mix(900), pieces)

    assert cost.total_minor == 1550
    assert cost.failed_minor == 550
    for piece in cost.pieces:
        assert [(line.name, line.minor) for line in piece.lines] == [
            ("mix", 300),
            ("hands", 200),
            (CARRIED, 275),
        ]
    assert cost.failed[0].total_minor == 550


def test_larger_good_pieces_carry_more_of_the_scrap() -> None:
    """Worked here: mix 6.00 over 3, 1 and 2 parts; the scrap's 2.00 goes 3 to 1: 1.50 and 0.50."""
    pieces = [PieceFacts("a", 3, "good"), PieceFacts("b", 1, "good"), PieceFacts("c", 2, "scrap")]

    cost = cost_of_mix(mix(600), pieces)

    assert [piece.minor_of(CARRIED) for piece in cost.pieces] == [150, 50]
    assert [piece.total_minor for piece in cost.pieces] == [450, 150]


def test_a_mix_without_a_good_piece_is_lost_in_one_named_place() -> None:
    cost = cost_of_mix(mix(Fraction(901, 2)), [PieceFacts("a", 1, "scrap"), PieceFacts("b", 2, "second")])

    assert cost.pieces == ()
    assert cost.total_minor == cost.lost_minor == cost.failed_minor == 450


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(PIECES, LINES)
def test_nothing_is_lost_to_rounding(pieces: list[PieceFacts], mix_costs: tuple[CostLine, ...]) -> None:
    """The pieces of a mix cost what the mix used, to the last minor unit."""
    cost = cost_of_mix(mix_costs, pieces)

    used = sum(line.exact_minor for piece in pieces for line in piece.own_costs)
    used += sum(line.exact_minor for line in mix_costs)
    assert abs(cost.total_minor - used) <= Fraction(1, 2)
    assert sum(piece.total_minor for piece in cost.pieces) + cost.lost_minor == cost.total_minor
    assert {piece.key for piece in cost.pieces} == {one.key for one in pieces if one.outcome == "good"}
    assert all(line.minor >= 0 for piece in cost.pieces for line in piece.lines)


def test_three_pieces_of_one_pound_keep_the_odd_penny() -> None:
    pieces = [PieceFacts(key, 1, "good") for key in "abc"]

    cost = cost_of_mix(mix(100), pieces)

    assert [piece.total_minor for piece in cost.pieces] == [34, 33, 33]


def test_lines_of_one_name_come_together() -> None:
    lines = [CostLine("powder", Fraction(1, 3), Fraction(5), "g"), CostLine("wax", Fraction(2))]

    assert together([*lines, lines[0]]) == [CostLine("powder", Fraction(2, 3), Fraction(10), "g"), lines[1]]


def test_a_line_is_found_by_its_name() -> None:
    piece = PieceFacts("a", 1, "good", (CostLine("wax", Fraction(3)), CostLine("wax", Fraction(4))))

    cost = cost_of_mix([], [piece]).pieces[0]

    assert cost.minor_of("wax") == 7
    assert cost.minor_of("cork") == 0


def test_what_cannot_be_costed_is_a_fault() -> None:
    with pytest.raises(ValueError, match="a mix has pieces"):
        cost_of_mix(mix(1), [])
    with pytest.raises(ValueError, match="a mix has pieces"):
        cost_of_mix(mix(1), [PieceFacts("a", 0, "good")])
    with pytest.raises(ValueError, match="one cast at least"):
        mould_wear(4500, 0)
