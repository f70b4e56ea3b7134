"""Which order could leave now with pieces that wait for others."""

from __future__ import annotations

import itertools
import random

import pytest

from orders.arithmetic.instead import WaitingOrder, could_leave_instead

TRAY, CUP = (1, 1), (2, 1)


def test_a_later_order_leaves_with_the_piece_an_earlier_one_waits_with():
    waits = WaitingOrder("1041", {CUP: 1}, {TRAY: ["K7R4"]})
    could = WaitingOrder("1045", {TRAY: 1}, {})

    (offer,) = could_leave_instead([waits, could])

    assert (offer.number, offer.pieces) == ("1045", ((TRAY, "K7R4", "1041"),))


def test_nothing_is_offered_where_some_piece_is_nowhere():
    waits = WaitingOrder("1041", {CUP: 2}, {TRAY: ["K7R4"]})
    could = WaitingOrder("1045", {TRAY: 1, CUP: 1}, {})

    assert could_leave_instead([waits, could]) == []


@pytest.mark.parametrize("chance", range(15))
def test_there_is_an_offer_exactly_when_trying_every_order_finds_one(chance):
    """Reference: each order by itself against everything all others could give."""
    draw = random.Random(chance)
    marks = (f"M{number}" for number in itertools.count())
    orders = [
        WaitingOrder(
            f"{number}",
            {kind: draw.randint(0, 2) for kind in (TRAY, CUP)},
            {kind: [next(marks) for _ in range(draw.randint(0, 2))] for kind in (TRAY, CUP)},
        )
        for number in range(4)
    ]
    possible = any(
        any(one.lacks.values())
        and all(
            sum(len(other.could_give[kind]) for other in orders if other is not one) >= count
            for kind, count in one.lacks.items()
        )
        for one in orders
    )

    offers = could_leave_instead(orders)

    assert bool(offers) == possible
    named = [mark for offer in offers for _, mark, _ in offer.pieces]
    assert len(named) == len(set(named))
    leaving = {offer.number for offer in offers}
    for offer in offers:
        lacks = next(one.lacks for one in orders if one.number == offer.number)
        for kind, count in lacks.items():
            assert sum(one == kind for one, _, _ in offer.pieces) == count
        assert not {giver for _, _, giver in offer.pieces} & leaving
