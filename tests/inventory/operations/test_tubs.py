"""Taking tubs in hand inside an act."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.errors import ContainerRetired, StudioError
from inventory.operations.tubs import (
    note_older_content,
    note_opening,
    note_refilled_from_empty,
    restore_states,
    states_around,
    take_tubs,
)
from tests.factories.inventory import MONDAY, a_tub

pytestmark = pytest.mark.django_db


def test_tubs_come_in_the_order_asked_for():
    first, second = a_tub(), a_tub()

    assert take_tubs([second.pk, first.pk]) == [second, first]


def test_an_unknown_and_a_retired_tub_are_refused():
    with pytest.raises(StudioError, match="no such tub"):
        take_tubs([987_654])
    with pytest.raises(ContainerRetired, match="retired since 5 Oct 2026"):
        take_tubs([a_tub(retired_on=MONDAY.date()).pk])


def test_the_earlier_opening_counts():
    tub = a_tub()

    note_opening(tub, MONDAY)
    note_opening(tub, MONDAY - timedelta(days=1))
    tub.refresh_from_db()
    assert tub.opened_at == MONDAY

    note_older_content(tub, MONDAY - timedelta(days=1))
    note_older_content(tub, MONDAY + timedelta(days=1))
    tub.refresh_from_db()
    assert tub.opened_at == MONDAY - timedelta(days=1)


def test_a_state_is_put_back_unless_the_tub_was_opened_again_since():
    untouched, opened_again = (a_tub(opened_at=MONDAY, openings_count=3) for _ in range(2))
    with states_around([untouched, opened_again]) as states:
        note_refilled_from_empty(untouched)
        note_refilled_from_empty(opened_again)
    note_opening(opened_again, MONDAY + timedelta(days=9))

    restore_states(states)

    untouched.refresh_from_db()
    opened_again.refresh_from_db()
    assert (untouched.opened_at, untouched.openings_count) == (MONDAY, 3)
    assert (opened_again.opened_at, opened_again.openings_count) == (MONDAY + timedelta(days=9), 0)
