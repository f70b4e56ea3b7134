"""The ledger reckoned again from its entries, whoever keeps them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.recount import (
    BelowZero,
    HoldingFault,
    LotFacts,
    PlaceFacts,
    PostingFault,
    Recount,
)

LOTS = {1: LotFacts("L1", "powder", 1000), 2: LotFacts("L2", "powder", 1000)}
PLACES = {
    "supplier": PlaceFacts("supplier", "supplier"),
    "mix": PlaceFacts("mix", "mix"),
    "B4": PlaceFacts("container", "B4", "powder"),
    "Q2": PlaceFacts("container", "Q2", "powder"),
}
IN = [(1, 1, "supplier", "B4", 1000), (2, 2, "supplier", "B4", 1000)]
BOTH = {(1, "B4"): 1000, (2, "B4"): 1000}


def recounted(*entries: tuple[int, object, object, object, int], **reversals: int) -> Recount:
    recount = Recount(LOTS, PLACES, {int(key[1:]): value for key, value in reversals.items()})
    recount.take([*IN, *entries])
    return recount


def test_a_sound_ledger_is_silent_and_counted() -> None:
    recount = recounted((3, 1, "B4", "Q2", 400), (3, 2, "B4", "Q2", 400), (4, 1, "Q2", "mix", 100))

    held = {(1, "B4"): 600, (2, "B4"): 600, (1, "Q2"): 300, (2, "Q2"): 400}
    assert recount.faults(held) == []
    assert (recount.postings_met, recount.entries_met) == (4, 5)


def test_the_first_differing_holding_is_by_lot_and_then_by_tub() -> None:
    faults = recounted((3, 1, "B4", "Q2", 400)).faults({})

    assert faults[:3] == [
        HoldingFault("L1", "B4", 0, 600),
        HoldingFault("L1", "Q2", 0, 400),
        HoldingFault("L2", "B4", 0, 1000),
    ]


def test_within_one_posting_what_goes_out_may_be_written_before_what_comes_in() -> None:
    recount = recounted((3, 1, "Q2", "mix", 100), (3, 1, "B4", "Q2", 100))

    assert recount.faults(BOTH | {(1, "B4"): 900, (1, "Q2"): 0}) == []


def test_below_zero_after_a_posting_is_named_once() -> None:
    recount = recounted((3, 1, "Q2", "mix", 60), (3, 1, "Q2", "mix", 40), (4, 1, "B4", "Q2", 100))

    assert recount.faults(BOTH | {(1, "B4"): 900}) == [BelowZero("L1", "Q2", 3, -100)]


def test_entries_that_name_what_is_not_listed_move_nothing_or_stand_still_are_named() -> None:
    recount = recounted((3, 9, "B4", "Q2", 1), (4, 1, "B4", "B4", 5), (5, 1, "B4", "Q2", 0))

    said = [str(fault) for fault in recount.faults(BOTH) if isinstance(fault, PostingFault)]

    assert said == [
        "posting 3 names 9, which is not listed",
        "posting 4 moves 5 from B4 to B4",
        "posting 5 moves 0 from B4 to Q2",
    ]


def test_a_reversal_is_exact_whatever_the_order_of_its_entries() -> None:
    there = [(3, 1, "B4", "mix", 10), (3, 2, "B4", "mix", 20)]
    back = [(4, 2, "mix", "B4", 20), (4, 1, "mix", "B4", 10)]

    assert recounted(*there, *back, p4=3).faults(BOTH) == []
    assert recounted(*there, *back[:1], p4=3).faults(BOTH)[-1] == PostingFault(
        4, "reverses posting 3, but not exactly"
    )
    assert recounted(*there, *back, p3=4).faults(BOTH) == [
        PostingFault(3, "reverses posting 4, which comes later")
    ]


@given(
    st.lists(
        st.tuples(st.sampled_from([1, 2]), st.sampled_from(["B4", "Q2"]), st.integers(1, 900)), max_size=30
    )
)
def test_the_holdings_of_any_moves_that_never_overdraw_agree(moves: list[tuple[int, str, int]]) -> None:
    held = dict(BOTH)
    entries = []
    for number, (lot, source, amount) in enumerate(moves):
        other = "Q2" if source == "B4" else "B4"
        if held.get((lot, source), 0) >= amount:
            held[lot, source] -= amount
            held[lot, other] = held.get((lot, other), 0) + amount
            entries.append((number + 3, lot, source, other, amount))

    assert recounted(*entries).faults(held) == []
