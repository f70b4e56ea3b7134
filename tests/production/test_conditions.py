"""What bench and shelf find worth a notice."""

from __future__ import annotations

from datetime import timedelta

import pytest

from production.conditions import moulds_near_their_end, moulds_to_open, shelf_conditions
from production.operations.finishing import finish_step
from production.operations.opening import open_moulds
from production.operations.owning import retire_copy
from production.operations.undoing_pieces import undo_finish_step
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import a_mould, a_route, minutes, pieces_of, pots, poured

pytestmark = pytest.mark.django_db

DRY = MONDAY + minutes(70) + timedelta(hours=24)


def test_a_mould_is_told_from_the_minute_it_is_due_until_it_is_open():
    mix = poured(pots())

    assert moulds_to_open(now=MONDAY + minutes(64)) == []
    (told,) = moulds_to_open(now=MONDAY + minutes(65))
    assert (told.cause, told.kind, told.link) == (
        f"open mould {mix.pk}",
        "open mould",
        f"/bench/open/{mix.pk}/",
    )
    assert told.text.endswith("due out 10:05.")
    open_moulds(**a_tap(now=MONDAY + minutes(66)), mix_id=mix.pk)
    assert moulds_to_open(now=MONDAY + minutes(67)) == []


def test_the_cause_stays_the_same_while_it_lasts():
    poured(pots())

    first = moulds_to_open(now=MONDAY + minutes(65))[0].cause

    assert moulds_to_open(now=MONDAY + minutes(300))[0].cause == first


CURE = {"kind": "cure", "name": "cure", "wait_minutes": 600, "minutes_each": 0}


def told(now):
    return [(one.kind, one.cause, one.text) for one in shelf_conditions(now=now)]


def test_dry_coat_due_and_cured_follow_each_other_and_each_goes_by_itself():
    route = a_route({"wait_minutes": None}, {"name": "coat 2", "wait_minutes": 240}, CURE)
    pieces = pieces_of(pots(route=route))
    ids, first = [piece.pk for piece in pieces], pieces[0]
    step_ids = list(route.steps.order_by("position").values_list("pk", flat=True))
    mix = first.casts.first().mix.number
    which = f"{first.article_id} {first.colour_id} {mix}"
    words = f"2 {first.article.name}, {first.colour.name}, mix {mix}"

    assert told(DRY - minutes(1)) == []
    (dry,) = told(DRY)
    assert dry == ("dry", f"dry {step_ids[0]} {which}", f"Dry since 10:10: {words}. Coat 1 next.")
    finish_step(**a_tap(now=DRY), piece_ids=ids, step_id=step_ids[0])
    assert told(DRY + minutes(239)) == []
    (coat,) = told(DRY + minutes(240))
    assert coat[:2] == ("coat", f"coat {step_ids[1]} {which}")
    assert coat[2].startswith("Coat 2 due since") and coat[2].endswith(f": {words}.")
    done = finish_step(**a_tap(now=DRY + minutes(240)), piece_ids=ids, step_id=step_ids[1])
    assert told(DRY + minutes(241)) == []
    undo_finish_step(**a_tap(now=DRY + minutes(242)), act_id=done.act_id)
    assert told(DRY + minutes(243)) == [coat]
    finish_step(**a_tap(now=DRY + minutes(250)), piece_ids=ids, step_id=step_ids[1])
    over = DRY + minutes(250 + 600)
    assert told(over - minutes(1)) == []
    (cured,) = told(over)
    assert cured[:2] == ("cured", f"cured {which}")
    assert cured[2].endswith(f": {words}. Ready to pack.")
    assert told(over + minutes(1440)) == []


def test_a_cause_stays_the_same_while_some_of_its_pieces_are_done():
    route = a_route({"wait_minutes": None})
    pieces = pieces_of(pots(route=route))
    (before,) = told(DRY)

    finish_step(**a_tap(now=DRY), piece_ids=[pieces[0].pk], step_id=route.steps.first().pk)

    (after,) = [one for one in told(DRY + minutes(1)) if one[0] == "dry"]
    assert after[1] == before[1] and ": 1 " in after[2]


def test_pieces_that_only_dry_are_told_to_be_ready_for_a_day():
    pieces_of(pots())

    assert told(DRY - minutes(1)) == []
    ((kind, _, words),) = told(DRY)
    assert kind == "dry" and words.endswith("Ready to pack.")
    assert told(DRY + minutes(1440)) == []


def test_a_copy_near_its_end_is_told_until_it_is_retired():
    mould = a_mould(copies=2)
    worn = mould.copies.get(number=2)
    mould.copies.filter(pk=worn.pk).update(casts_before=45, casts_expected=60)

    (found,) = moulds_near_their_end(now=MONDAY)

    assert (found.kind, found.cause) == ("mould end", f"mould end {worn.pk}")
    assert found.text == f"{mould.name}, copy 2, is near its end: 45 of 60 casts. 15 more are expected of it."
    retire_copy(**a_tap(), copy_id=worn.pk, on=MONDAY.date())
    assert moulds_near_their_end(now=MONDAY) == []
