"""Scale readings, tub and all."""

from __future__ import annotations

import pytest

from inventory.arithmetic.tare import (
    DecantAboveCapacity,
    GrossBelowTare,
    NetAboveCapacity,
    ReadingsTheWrongWayRound,
    check_room,
    net_from_gross,
    proposed_decant,
    taken_out,
)


def test_the_net_weight_is_the_reading_less_the_empty_tub() -> None:
    assert net_from_gross(6_170_000, 860_000, 15_000_000) == 5_310_000
    assert net_from_gross(860_000, 860_000) == 0
    assert net_from_gross(15_860_000, 860_000, 15_000_000) == 15_000_000


def test_a_reading_below_the_empty_tub_is_refused_in_its_own_numbers() -> None:
    with pytest.raises(GrossBelowTare) as refused:
        net_from_gross(800_000, 860_000)

    assert refused.value.message == (
        "0.80 kg is less than the empty tub (0.86 kg). Is the lid or the tub off the scale?"
    )
    assert refused.value.facts == {"gross_mg": 800_000, "tare_mg": 860_000}


def test_a_sentence_shows_as_many_places_as_tell_its_weights_apart() -> None:
    with pytest.raises(GrossBelowTare, match=r"0\.858 kg is less than the empty tub \(0\.860 kg\)"):
        net_from_gross(858_000, 860_000)
    with pytest.raises(GrossBelowTare, match=r"61\.2 g is less than the empty tub \(75 g\)"):
        net_from_gross(61_200, 75_000)


def test_a_reading_above_what_the_tub_holds_is_refused() -> None:
    with pytest.raises(NetAboveCapacity) as refused:
        net_from_gross(17_200_000, 860_000, 15_000_000, tub="Q2")

    assert refused.value.message == (
        "17.20 kg less the empty tub (0.86 kg) is 16.34 kg, and Q2 holds 15.00 kg."
        " Is something else on the scale?"
    )
    assert refused.value.facts["net_mg"] == 16_340_000


def test_what_was_taken_out_is_before_less_after() -> None:
    assert taken_out(10_550_000, 1_240_000) == 9_310_000

    with pytest.raises(ReadingsTheWrongWayRound) as refused:
        taken_out(1_240_000, 10_550_000)

    assert refused.value.facts == {"before_mg": 1_240_000, "after_mg": 10_550_000}


def test_a_decant_that_does_not_fit_says_how_much_does() -> None:
    check_room(5_690_000, 9_310_000, 15_000_000)
    check_room(5_690_000, 99_000_000, None)

    with pytest.raises(DecantAboveCapacity) as refused:
        check_room(6_100_000, 9_310_000, 15_000_000, tub="Q2")

    assert (
        refused.value.message == "Q2 holds 15.00 kg. 9.31 kg and 6.10 kg is 15.41 kg. Decant 8.90 kg at most."
    )
    assert refused.value.facts["most_mg"] == 8_900_000


@pytest.mark.parametrize(
    ("needed", "held", "bulk", "capacity", "proposed"),
    [
        (14_620_000, 5_310_000, 13_720_000, 15_000_000, 9_310_000),
        (14_620_000, 5_310_000, 4_000_000, 15_000_000, 4_000_000),
        (30_000_000, 5_310_000, 40_000_000, 15_000_000, 9_690_000),
        (30_000_000, 5_310_000, 40_000_000, None, 24_690_000),
        (3_000_000, 5_310_000, 40_000_000, 15_000_000, 0),
        (30_000_000, 16_000_000, 40_000_000, 15_000_000, 0),
    ],
)
def test_the_proposed_decant_is_the_need_within_room_and_bulk(
    needed: int, held: int, bulk: int, capacity: int | None, proposed: int
) -> None:
    amount = proposed_decant(still_needed_mg=needed, held_mg=held, bulk_held_mg=bulk, capacity_mg=capacity)

    assert amount == proposed
