"""Times seen at the bench and the shelf, and taking one over."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils.timezone import localtime

from inventory.errors import StudioError
from production.errors import LaterActsDepend, TimesChanged
from production.models import Compound, Mix, Plan
from production.operations.finishing import finish_step
from production.operations.learning import MEDIAN, take_time_over, undo_take_time_over
from production.operations.opening import open_moulds
from production.operations.weighing import call_dry
from production.queries.plan_age import learnt_for, learnt_since, why_plan_is_old
from production.queries.times_seen import DRYING, FILLING, OPENING, WAIT, times_seen
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_planned_mix,
    a_route,
    an_article,
    minutes,
    pieces_of,
    pots,
    poured,
)

pytestmark = pytest.mark.django_db

LATER = MONDAY + timedelta(days=20)


@pytest.fixture
def compound():
    return a_compound()


def opened_after(compound, *spans):
    """A mix of one pot on each of so many days, opened so many minutes after the pour."""
    colour = a_colour(compound)
    article = an_article(compound, colour, a_mould(copies=1))
    for day, span in enumerate(spans):
        at = MONDAY + timedelta(days=day)
        mix = poured(a_planned_mix(article, colour, pieces=1), at)
        open_moulds(**a_tap(now=at + minutes(5 + span)), mix_id=mix.pk)


def seen(kind, subject, now=LATER):
    return next(
        one
        for one in times_seen(now=now, local=localtime)
        if (one.kind, one.subject_id) == (kind, subject.pk)
    )


def take(subject, minutes_shown, kind=OPENING, seen_as=MEDIAN, now=LATER, key=None):
    return take_time_over(
        **a_tap(key, now=now),
        kind=kind,
        subject_id=subject.pk,
        seen=seen_as,
        minutes=minutes_shown,
        local=localtime,
    )


def test_openings_give_the_middle_and_the_ninetieth_and_leave_the_next_morning_out(compound):
    opened_after(compound, 90, 95, 100, 60 * 22)

    time = seen(OPENING, compound)

    assert (time.median_minutes, time.ninetieth_minutes) == (95, 99)
    assert (time.spread.count, time.left_out, time.used_minutes) == (3, 1, 60)


def test_the_owner_takes_the_middle_over_and_the_plan_says_so_and_is_old(compound):
    opened_after(compound, 90, 95, 100)
    plan = Plan.objects.latest("id")
    Plan.objects.filter(pk=plan.pk).update(adopted_at=LATER - minutes(5))

    done = take(compound, 95)

    compound.refresh_from_db()
    assert compound.open_after_minutes == 95
    sentence = f"Opening of {compound.name} now 95 min, learnt from 3 mixes."
    assert done.said == f"{sentence} It was 60 min."
    assert why_plan_is_old(now=LATER + minutes(1)) == sentence
    Plan.objects.filter(pk=plan.pk).update(adopted_at=LATER + minutes(5))
    plan.refresh_from_db()
    assert learnt_for(plan) == (sentence,)

    undone = undo_take_time_over(**a_tap(now=LATER + minutes(9)), act_id=done.act_id)

    compound.refresh_from_db()
    assert compound.open_after_minutes == 60
    assert undone.said == f"Opening of {compound.name} is 60 min again."
    assert why_plan_is_old(now=LATER + minutes(10)) == f"Opening of {compound.name} is as before again."
    assert learnt_for(plan) == ()


def test_a_time_put_back_before_the_next_plan_does_not_make_it_old(compound):
    opened_after(compound, 90, 95, 100)
    Plan.objects.update(adopted_at=LATER - minutes(5))
    undo_take_time_over(**a_tap(now=LATER + minutes(2)), act_id=take(compound, 95).act_id)

    assert learnt_since(Plan.objects.latest("id")) == ""


def test_twice_with_one_key_takes_over_once_and_a_time_changed_since_is_not_put_back(compound):
    opened_after(compound, 90, 95, 100)
    key = uuid4()
    done = take(compound, 95, key=key)

    assert take(compound, 95, key=key).act_id == done.act_id
    Compound.objects.filter(pk=compound.pk).update(open_after_minutes=80)
    with pytest.raises(LaterActsDepend, match="changed again since"):
        undo_take_time_over(**a_tap(now=LATER), act_id=done.act_id)


def test_what_is_no_longer_seen_too_little_and_as_it_is_already_are_refused(compound):
    opened_after(compound, 90, 95)
    with pytest.raises(StudioError, match="Three times tell it"):
        take(compound, 93)
    opened_after(compound, 60, 60, 60)

    with pytest.raises(TimesChanged) as refused:
        take(compound, 95)
    with pytest.raises(StudioError, match="is 60 min already"):
        take(compound, 60)

    assert refused.value.facts["minutes"] == 60
    assert Compound.objects.get(pk=compound.pk).open_after_minutes == 60


def test_drying_is_seen_from_the_mould_to_dry_once_for_each_mix():
    planned = pots(pieces=2)
    pieces = pieces_of(planned)
    call_dry(
        **a_tap(now=pieces[0].out_at + timedelta(hours=30, minutes=10)), piece_ids=[p.pk for p in pieces]
    )

    time = seen(DRYING, planned.compound)

    assert (time.spread.count, time.used_words, time.median_words) == (1, "24 h", "31 h")
    assert not time.spread.is_enough


def test_a_wait_between_coats_is_seen_once_for_each_board():
    route = a_route({"wait_minutes": 0}, {"wait_minutes": 240})
    first, second = route.steps.order_by("position")
    pieces = [piece.pk for piece in pieces_of(pots(pieces=2, route=route))]
    at = MONDAY + minutes(100)
    finish_step(**a_tap(now=at), piece_ids=pieces, step_id=first.pk)
    finish_step(**a_tap(now=at + minutes(300)), piece_ids=pieces, step_id=second.pk)

    time = seen(WAIT, second)

    assert (time.spread.count, time.used_words, time.ninetieth_words) == (1, "4 h", "5 h")


def test_a_cure_is_seen_with_the_wait_after_it_and_kept_without_it():
    route = a_route(
        {"wait_minutes": 0},
        {"kind": "cure", "name": "cure", "wait_minutes": 240, "minutes_each": 0},
        {"wait_minutes": 30},
    )
    first, cure, last = route.steps.order_by("position")
    for number in range(3):
        pieces = [piece.pk for piece in pieces_of(pots(pieces=1, route=route))]
        at = MONDAY + timedelta(days=number, minutes=100)
        finish_step(**a_tap(now=at), piece_ids=pieces, step_id=first.pk)
        finish_step(**a_tap(now=at + minutes(300)), piece_ids=pieces, step_id=last.pk)

    time = seen(WAIT, cure)
    assert (time.spread.count, time.used_minutes, time.median_minutes) == (3, 270, 300)
    done = take(cure, 300, kind=WAIT)

    cure.refresh_from_db()
    assert (cure.wait_minutes, last.wait_minutes) == (270, 30)
    assert done.said.endswith("It was 4 h 30.")


def test_filling_is_seen_from_one_mould_to_the_next(compound):
    mix = poured(pots(pieces=2))
    for place, cast in enumerate(Mix.objects.get(pk=mix.pk).casts.order_by("position")):
        cast.poured_at = MONDAY + minutes(5 + 2.5 * place)
        cast.save()
    mould = mix.casts.order_by("position").last().mould_copy.mould

    time = seen(FILLING, mould)

    assert (time.used_minutes, time.median_minutes) == (1, 3)
