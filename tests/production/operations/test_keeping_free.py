"""Days kept free of pours: kept, refused, taken in by the next plan, and given back."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.errors import StudioError
from production.errors import DayNotKept, NotThere
from production.models import Colour, DayKeptFree, MixPin, PlannedMix
from production.operations.keeping_free import (
    give_day_back,
    keep_day_free,
    undo_give_day_back,
    undo_keep_day_free,
)
from production.queries.pins import days_kept_free
from production.queries.plan_age import why_plan_is_old
from tests.factories.inventory import a_tap
from tests.factories.production import minutes
from tests.production.queries.test_problem import MONDAY_8, bookends, task_of, wants
from tests.production.queries.test_week import adopted

pytestmark = pytest.mark.django_db
MONDAY = MONDAY_8.date()


def kept(day=MONDAY, colour=None, *, now=MONDAY_8, key=None):
    return keep_day_free(**a_tap(key, now=now), day=day, colour_id=colour and colour.pk)


def test_nothing_of_the_colour_is_poured_that_day_in_the_next_plan() -> None:
    planned = bookends()
    adopted(wants(planned))
    assert PlannedMix.objects.latest("pk").starts_at.date() == MONDAY

    done = kept(colour=planned.colour, now=MONDAY_8 + minutes(1))

    assert (
        done.said
        == f"No {planned.colour} on Mon 5 Oct. 1 mix stands there now; plan again to put it elsewhere."
    )
    assert why_plan_is_old(now=MONDAY_8 + minutes(1)) == "Days kept free of pours changed since this plan."
    adopted(wants(planned), now=MONDAY_8 + minutes(2))
    assert PlannedMix.objects.latest("pk").starts_at.date() == MONDAY + timedelta(days=1)
    assert why_plan_is_old(now=MONDAY_8 + minutes(2)) == ""


def test_a_day_is_kept_free_of_a_colour_that_is_nowhere_planned_too() -> None:
    planned = bookends()
    other = Colour.objects.create(name="Shell", hex="#E4D8C6")

    kept(colour=other)
    kept(MONDAY + timedelta(days=1))

    found = task_of(wants(planned)).problem.no_pours
    assert [(one.compound, one.colour, one.start, one.end) for one in found] == [
        (None, "Shell", 0, 1440),
        (None, None, 1440, 2880),
    ]


def test_what_cannot_be_is_refused_and_changes_nothing() -> None:
    colour = bookends().colour
    kept(colour=colour)
    MixPin.objects.create(
        starts_at=MONDAY_8 + timedelta(days=2),
        compound=PlannedMix.objects.first().compound,
        colour=colour,
        pinned_at=MONDAY_8,
    )
    for day, of, said in (
        (MONDAY - timedelta(days=1), None, "Sun 4 Oct is over."),
        (MONDAY, colour, f"Mon 5 Oct is kept free of {colour} already."),
        (MONDAY + timedelta(days=2), None, f"A mix of {colour} was put to"),
    ):
        with pytest.raises(DayNotKept, match=said):
            kept(day, of)
    with pytest.raises(NotThere):
        keep_day_free(**a_tap(now=MONDAY_8), day=MONDAY, colour_id=999)
    assert DayKeptFree.objects.count() == 1


def test_the_same_tap_again_is_answered_the_same_and_another_is_refused() -> None:
    key = uuid4()

    first, again = kept(key=key), kept(key=key)

    assert (first.said, DayKeptFree.objects.count()) == (again.said, 1)
    with pytest.raises(StudioError):
        kept(MONDAY + timedelta(days=1), key=key)


def test_a_day_is_given_back_once_and_both_can_be_undone() -> None:
    done = kept()
    undo_keep_day_free(**a_tap(now=MONDAY_8), act_id=done.act_id)
    assert not days_kept_free(MONDAY_8)

    row = kept().facts["id"]
    back = give_day_back(**a_tap(now=MONDAY_8), kept_id=row)
    assert back.said == "Anything may be poured on Mon 5 Oct again."
    with pytest.raises(NotThere):
        give_day_back(**a_tap(now=MONDAY_8), kept_id=row)
    undo_give_day_back(**a_tap(now=MONDAY_8), act_id=back.act_id)
    assert [one.pk for one in days_kept_free(MONDAY_8)] == [row]
