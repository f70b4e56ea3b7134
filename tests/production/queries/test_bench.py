"""What is in hand on the Bench, in order of claim."""

from __future__ import annotations

from datetime import timedelta

import pytest

from production.models import Mould, PlannedMix
from production.operations.pouring import pour_cast, stop_mix
from production.queries.bench import bench_now
from production.queries.running import running_now
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import (
    a_planned_mix,
    a_route,
    judged,
    minutes,
    out_of_mould,
    pieces_of,
    pots,
    poured,
    started,
)

pytestmark = pytest.mark.django_db


def at(count, **more):
    return bench_now(now=MONDAY + minutes(count) + timedelta(**more))


class TestClaims:
    def test_no_moulds_yet(self):
        assert at(0).claim == "no moulds"

    def test_the_next_mix_of_today(self):
        planned = pots()

        found = at(0)

        assert found.claim == "weigh"
        assert found.next_mix.planned_id == planned.pk
        assert found.next_mix.made_up.weights.powder_mg > 0

    def test_a_mix_of_tomorrow_leaves_the_bench_free(self):
        pots()
        PlannedMix.objects.update(starts_at=MONDAY + timedelta(days=1))

        found = at(0)

        assert found.claim == "nothing"
        assert found.next_mix is not None

    def test_a_mix_that_sets_comes_before_everything(self):
        poured(pots())
        mix = started(pots(), MONDAY + minutes(60))

        found = at(70)

        assert found.claim == "setting"
        assert found.in_hand.number == mix.number
        assert len(found.past) == 1

    def test_of_two_mixes_the_one_with_the_least_time_left(self):
        first = started(pots())
        started(pots(), MONDAY + minutes(3))

        assert at(4).in_hand.number == first.number

    def test_a_mould_past_its_time_comes_before_the_next_mix(self):
        mix = poured(pots())
        pots()

        found = at(70)

        assert found.claim == "past"
        assert found.past[0].number == mix.number
        assert found.past[0].due_at == MONDAY + minutes(65)

    def test_casts_nobody_looked_at_come_before_the_next_mix(self):
        mix = out_of_mould(pots())
        pots()

        found = at(71)

        assert found.claim == "judge"
        assert found.to_judge[0].waiting == 4
        judged(mix.casts.first())
        assert at(76).to_judge[0].waiting == 3

    def test_a_mould_due_within_the_hour_when_there_is_nothing_to_mix(self):
        poured(pots())

        assert at(4).claim == "nothing"
        assert at(6).claim == "due"

    def test_shelf_work_last(self):
        pieces_of(pots(route=a_route({"wait_minutes": None})))

        found = at(75, hours=24)

        assert found.claim == "shelf"
        assert len(found.shelf[0].pieces) == 2


class TestInHand:
    def test_fills_move_on_with_every_tap(self):
        mix = started(pots(pieces=1))
        first, last = mix.casts.order_by("position")

        assert at(4).in_hand.current.cast_id == first.pk
        assert [fill.cast_id for fill in at(4).in_hand.after] == [last.pk]
        pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=first.pk)
        assert at(6).in_hand.current.cast_id == last.pk

    def test_the_start_can_be_undone_until_a_mould_is_filled(self):
        mix = started(pots(pieces=1))

        assert at(4).in_hand.start_act_id is not None
        pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=mix.casts.first().pk)
        assert at(6).in_hand.start_act_id is None

    def test_what_was_weighed_is_shown(self):
        mix = started(pots())

        shown = at(1).in_hand

        assert (shown.powder_mg, shown.water_mg) == (mix.powder_mg, mix.water_mg)
        assert len(shown.pigments) == 1


def test_moulds_that_are_dry_by_the_planned_time_do_not_stand_in_the_way():
    first = pots()
    out_of_mould(first)
    part = first.casts.get(part__name="pot").part
    rest = Mould.objects.order_by("-clean_and_dry_minutes").first().clean_and_dry_minutes
    second = a_planned_mix(
        part.article, first.colour, pieces=2, starts_at=MONDAY + minutes(70 + rest), wanted_by="line:13"
    )

    in_time = at(80).next_mix
    PlannedMix.objects.filter(pk=second.pk).update(starts_at=MONDAY + minutes(60 + rest))
    too_soon = at(80).next_mix

    assert (in_time.blocks, in_time.waits_for_moulds) == ((), True)
    assert "wet until" in too_soon.blocks[0].sentence


def test_a_stopped_mix_can_be_topped_up_until_another_of_its_colour_is_mixed():
    planned = pots()
    article = planned.casts.first().part.article
    mix = started(planned)
    stop_mix(**a_tap(now=MONDAY + minutes(9)), mix_id=mix.pk)

    assert at(10).short.left_out == 4
    started(a_planned_mix(article, planned.colour), MONDAY + minutes(20))
    assert at(21).short is None


def test_today_shows_what_was_mixed_and_what_is_planned():
    mix = poured(pots())
    pots()

    today = at(10).today

    assert [(step.number, step.is_mixed) for step in today] == [(mix.number, True), (mix.number + 1, False)]


def test_the_running_clock_follows_the_mix_that_sets():
    assert running_now(now=MONDAY).line == "Nothing setting in the jug"
    mix = started(pots())

    running = running_now(now=MONDAY + minutes(1))

    assert (running.line, running.until) == (f"Mix {mix.number}", MONDAY + minutes(15))
    assert running.after == "to work"
    assert running_now(now=MONDAY + minutes(16)).after == "over"


def queries_of(django_assert_max_num_queries, count):
    with django_assert_max_num_queries(80) as counted:
        bench_now(now=MONDAY + timedelta(days=3, minutes=count))
    return len(counted.captured_queries)


def test_the_number_of_queries_does_not_grow_with_history(django_assert_max_num_queries):
    planned = pots(copies=2)
    article = planned.casts.first().part.article
    pieces_of(planned)
    a_planned_mix(article, planned.colour, starts_at=MONDAY + timedelta(days=3))
    once = queries_of(django_assert_max_num_queries, 0)
    for number in range(1, 5):
        pieces_of(
            a_planned_mix(article, planned.colour, wanted_by=f"line:{number}"),
            MONDAY + timedelta(hours=5 * number),
        )

    # Fewer where an early reason already makes the plan old.
    assert queries_of(django_assert_max_num_queries, 1) <= once


class TestOldPlan:
    def test_after_a_scrap_the_plan_is_old(self):
        mix = out_of_mould(pots())
        first, *others = mix.casts.order_by("position")
        for cast in others:
            judged(cast)
        assert at(80).old_plan == ""

        judged(first, "scrap")

        assert at(80).old_plan == "Casts came out short since this plan."
