"""What bench and shelf find worth a notice."""

from __future__ import annotations

from datetime import timedelta

import pytest

from production.conditions import cures_complete, moulds_to_open
from production.operations.finishing import finish_step
from production.operations.opening import open_moulds
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import a_route, minutes, pieces_of, pots, poured

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


def test_a_cure_is_told_for_a_day_once_it_is_over():
    route = a_route(
        {"wait_minutes": None}, {"kind": "cure", "name": "cure", "wait_minutes": 600, "minutes_each": 0}
    )
    pieces = pieces_of(pots(route=route))
    finish_step(**a_tap(now=DRY), piece_ids=[p.pk for p in pieces], step_id=route.steps.first().pk)

    assert cures_complete(now=DRY + minutes(599)) == []
    (told,) = cures_complete(now=DRY + minutes(600))
    assert (told.kind, told.cause) == ("cured", f"cured {pieces[0].pk}")
    assert told.text.startswith("2 pieces cured: ")
    assert cures_complete(now=DRY + minutes(600 + 1440)) == []


def test_pieces_that_only_dry_have_no_cure_to_tell_of():
    pieces_of(pots())

    assert cures_complete(now=DRY) == []
