"""A mix is put to a time by hand: its own plan, its pin, its Undo, and what later plans make of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import transaction

from inventory.errors import NothingToUndo, RequestKeyReused
from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from production.errors import LaterActsDepend, MixStays, NotThere
from production.models import Mix, MixPin, Plan, PlannedMix
from production.operations.pinning import release_mix, take_plan_back
from production.queries.plan_changes import plan_changes
from production.queries.progress import newest_plan, planned_mixes_ahead
from shopfloor.journeys.demo.loading import load_rows
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK
from shopfloor.journeys.moving import move_mix, tried, undo_move_mix
from shopfloor.journeys.planning import plan_week
from shopfloor.studio.port import LiveStudio
from tests.services.at_once import at_once

MONDAY = datetime(2026, 10, 5, 7, 30, tzinfo=UTC)
WEDNESDAY_11 = datetime(2026, 10, 14, 10, 0, tzinfo=UTC)


def order(number: str, colour: str, now: datetime = MONDAY) -> None:
    type_order(
        order=NewOrder(
            number=number,
            customer="Turnstone Bar",
            ordered_on=date(2026, 10, 5),
            ship_by=date(2026, 10, 30),
            lines=((ARTICLE_PK["Ferry tray"], COLOUR_PK[colour], 2),),
        ),
        request_key=uuid4(),
        now=now,
    )


def plan_now(now: datetime = MONDAY) -> Plan:
    adopt = plan_week(request_key=uuid4(), by=None, now=now, studio=LiveStudio())
    with transaction.atomic():
        adopt()
    found = newest_plan()
    assert found is not None
    return found


@pytest.fixture
def planned(db: None) -> Plan:
    """Samphire Lane with two orders of trays, planned."""
    load_rows()
    order("1050", "Slate")
    order("1051", "Fog")
    return plan_now()


def first_mix(colour: str) -> PlannedMix:
    return next(mix for mix in planned_mixes_ahead() if mix.colour.name == colour)


def move(mix: PlannedMix, to: datetime = WEDNESDAY_11, now: datetime = MONDAY, **changes):
    return move_mix(**{"request_key": uuid4(), "now": now, "planned_mix_id": mix.pk, "to": to, **changes})


def test_trying_changes_nothing(planned: Plan) -> None:
    before = list(Plan.objects.values())

    move_tried = tried(first_mix("Slate").pk, WEDNESDAY_11, now=MONDAY)

    assert move_tried.tried.start == 9 * 1440 + 11 * 60
    assert list(Plan.objects.values()) == before
    assert not MixPin.objects.exists()


def test_a_moved_mix_is_a_new_plan_with_a_pin_and_the_other_mix_stays(planned: Plan) -> None:
    fog = first_mix("Fog").starts_at

    done = move(first_mix("Slate"))

    newest = newest_plan()
    assert newest is not None
    assert newest.pk == done.facts["plan_id"] != planned.pk
    assert done.said.startswith("Mix ")
    assert "moved to Wed 14, 11:00." in done.said
    assert newest.because.endswith("was moved by hand.")
    slate = first_mix("Slate")
    assert (slate.starts_at, slate.pin_id) == (WEDNESDAY_11, done.facts["pin_id"])
    assert first_mix("Fog").starts_at == fog


def test_a_later_plan_leaves_it_there_until_it_is_let_go(planned: Plan) -> None:
    done = move(first_mix("Slate"))
    order("1052", "Brick", MONDAY + timedelta(minutes=5))

    plan_now(MONDAY + timedelta(minutes=10))

    slate = first_mix("Slate")
    assert (slate.starts_at, slate.pin_id) == (WEDNESDAY_11, done.facts["pin_id"])
    release_mix(request_key=uuid4(), now=MONDAY + timedelta(minutes=15), pin_id=done.facts["pin_id"])
    plan_now(MONDAY + timedelta(minutes=20))
    assert first_mix("Slate").pin_id is None


def test_a_replan_starts_from_the_plan_before_and_says_what_stayed(planned: Plan) -> None:
    order("1052", "Brick", MONDAY + timedelta(minutes=5))

    again = plan_now(MONDAY + timedelta(minutes=10))
    changes = plan_changes(now=MONDAY + timedelta(minutes=10))

    assert again.because == "Orders changed since the plan before."
    assert changes is not None
    mixes = planned.mixes.count()
    assert (changes.kept, changes.of) == (mixes, mixes)
    assert changes.words == "Both mixes stay where they were; 1 is new."
    assert (again.kept_mixes, again.mixes_before) == (mixes, mixes)


def test_what_a_move_changed_is_said(planned: Plan) -> None:
    was = first_mix("Slate").starts_at
    move(first_mix("Slate"))

    changes = plan_changes(now=MONDAY)

    assert changes is not None
    assert changes.kept == changes.of - 1
    assert [(one.colour, one.was_at, one.now_at) for one in changes.changes] == [("Slate", was, WEDNESDAY_11)]


def test_moved_again_the_older_pin_holds_no_more(planned: Plan) -> None:
    first = move(first_mix("Slate"))

    second = move(first_mix("Slate"), WEDNESDAY_11 + timedelta(days=1))

    assert MixPin.objects.get(pk=first.facts["pin_id"]).released_at is not None
    assert second.facts["instead_of"] == first.facts["pin_id"]
    assert first_mix("Slate").starts_at == WEDNESDAY_11 + timedelta(days=1)


def test_what_cannot_be_is_refused_with_the_first_time_that_works_and_changes_nothing(planned: Plan) -> None:
    sunday = datetime(2026, 10, 11, 9, 0, tzinfo=UTC)

    with pytest.raises(MixStays, match="Sun 11, 10:00: nobody is in. First free: ") as refused:
        move(first_mix("Slate"), sunday)

    assert refused.value.facts["first_free"] is not None
    assert newest_plan() == planned
    assert not MixPin.objects.exists()


def test_the_same_tap_again_is_answered_the_same_and_another_is_refused(planned: Plan) -> None:
    mix, key = first_mix("Slate"), uuid4()
    first = move(mix, request_key=key)

    again = move(mix, request_key=key)

    assert again.again
    assert again.facts == first.facts
    assert Plan.objects.count() == 2
    with pytest.raises(RequestKeyReused):
        move(mix, WEDNESDAY_11 + timedelta(hours=1), request_key=key)


def test_undo_goes_back_to_the_plan_before(planned: Plan) -> None:
    was = first_mix("Slate").starts_at
    done = move(first_mix("Slate"))

    undone = undo_move_mix(request_key=uuid4(), now=MONDAY, act_id=done.act_id)

    assert undone.said.startswith("Back to the plan of ")
    assert newest_plan() == planned
    assert first_mix("Slate").starts_at == was
    assert MixPin.objects.get().released_at is not None
    with pytest.raises(NothingToUndo):
        undo_move_mix(request_key=uuid4(), now=MONDAY, act_id=done.act_id)


def test_undo_of_the_second_move_holds_the_mix_where_the_first_had_put_it(planned: Plan) -> None:
    first = move(first_mix("Slate"))
    second = move(first_mix("Slate"), WEDNESDAY_11 + timedelta(days=1))

    undo_move_mix(request_key=uuid4(), now=MONDAY, act_id=second.act_id)

    assert MixPin.objects.get(pk=first.facts["pin_id"]).released_at is None
    assert first_mix("Slate").starts_at == WEDNESDAY_11


def test_a_plan_that_was_begun_is_not_taken_back(planned: Plan) -> None:
    done = move(first_mix("Slate"))
    fog = first_mix("Fog")
    Mix.objects.create(
        number=900, planned=fog, compound=fog.compound, colour=fog.colour, powder_mg=1, water_mg=1,
        dry_mg_per_ul=1, started_at=MONDAY,
    )  # fmt: skip

    with pytest.raises(LaterActsDepend, match="Mix 900 was started from this plan"):
        undo_move_mix(request_key=uuid4(), now=MONDAY, act_id=done.act_id)


def test_only_the_newest_plan_is_taken_back_and_not_the_first(planned: Plan) -> None:
    with pytest.raises(NotThere, match="no plan before"):
        take_plan_back(request_key=uuid4(), now=MONDAY, plan_id=planned.pk)
    assert newest_plan() == planned
    again = plan_now(MONDAY + timedelta(minutes=1))
    with pytest.raises(NotThere, match="A newer plan"):
        take_plan_back(request_key=uuid4(), now=MONDAY, plan_id=planned.pk)

    take_plan_back(request_key=uuid4(), now=MONDAY, plan_id=again.pk)

    assert newest_plan() == planned


@pytest.mark.django_db(transaction=True)
def test_of_two_moves_at_once_the_second_is_tried_on_the_plan_of_the_first() -> None:
    load_rows()
    order("1050", "Slate")
    plan_now()
    mix = first_mix("Slate")

    answers = at_once(*(lambda: move(mix) for _ in range(2)))

    assert sorted(type(one).__name__ for one in answers) == ["Done", "NotThere"]
    assert Plan.objects.count() == 2
