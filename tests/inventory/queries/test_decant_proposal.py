"""Which decant carries the week."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.errors import StudioError
from inventory.queries.decant_proposal import decant_proposals, tub_states
from tests.factories.inventory import KG, a_filled_tub, a_material, a_tub

pytestmark = pytest.mark.django_db

TUESDAY = date(2026, 10, 6)


def make(bulk=13_720_000, working=5_310_000, capacity=15 * KG):
    powder = a_material(name="Quick compound")
    a_filled_tub(bulk, powder, code="B4")
    if working:
        a_filled_tub(working, powder, code="Q2", role="working", capacity=capacity)
    else:
        a_tub(powder, code="Q2", role="working", capacity=capacity)
    return powder


def needs(powder, *amounts):
    return {powder.pk: [(TUESDAY + timedelta(days=day), amount) for day, amount in enumerate(amounts)]}


def test_what_the_week_needs_beyond_what_the_working_tub_holds(django_assert_num_queries):
    powder = make()

    with django_assert_num_queries(2):
        (proposal,) = decant_proposals(TUESDAY, needs(powder, 10 * KG, 4_620_000))

    assert (proposal.bulk.code, proposal.working.code) == ("B4", "Q2")
    assert (proposal.still_needs, proposal.amount) == (14_620_000, 9_310_000)
    assert (proposal.working.room, proposal.carries_the_week) == (9_690_000, True)


@pytest.mark.parametrize(
    ("tubs", "amount"),
    [
        ({"capacity": 10 * KG}, 4_690_000),  # the room
        ({"bulk": 2 * KG}, 2 * KG),  # what the bulk tub has
    ],
)
def test_is_limited_by_the_room_and_by_the_bulk_tub(tubs, amount):
    powder = make(**tubs)

    (proposal,) = decant_proposals(TUESDAY, needs(powder, 20 * KG))

    assert (proposal.amount, proposal.carries_the_week) == (amount, False)


def test_nothing_is_proposed_when_the_working_tub_has_enough_or_the_need_is_later():
    powder = make()

    assert decant_proposals(TUESDAY, needs(powder, 5 * KG)) == []
    assert decant_proposals(TUESDAY, {powder.pk: [(TUESDAY + timedelta(days=7), 14 * KG)]}) == []
    assert decant_proposals(TUESDAY, {}) == []


def test_nothing_is_proposed_without_a_working_tub():
    powder = a_material()
    a_filled_tub(13 * KG, powder)

    assert decant_proposals(TUESDAY, needs(powder, 5 * KG)) == []


def test_the_tubs_of_a_decant_are_read_by_their_codes():
    make()

    source, target = tub_states([" b4", "q2"])

    assert (source.held, target.held, target.room) == (13_720_000, 5_310_000, 9_690_000)
    with pytest.raises(StudioError, match="no tub Z9 in use"):
        tub_states(["B4", "Z9"])
