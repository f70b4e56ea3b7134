"""The Bench in a browser's eyes: what it shows first, and what its plates do."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from production.models import Cast, Mix, Piece, Plan, PlannedMix
from tests.factories.production import minutes, out_of_mould, pots, poured, started

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def ago(count):
    return timezone.now() - minutes(count)


def tap(client, name, *args, key=None, **content):
    return client.post(
        reverse(f"production:{name}", args=args), {"request_key": key or uuid4(), **content}, follow=True
    )


def words(response):
    return " ".join(response.content.decode().split())


def pots_planned(at):
    """A plan of half an hour before whose one mix is planned at this minute."""
    planned = pots()
    Plan.objects.update(adopted_at=at - minutes(30), planned_from=at - minutes(30))
    PlannedMix.objects.update(starts_at=at, poured_by=at + minutes(10), opens_at=at + minutes(70))
    planned.refresh_from_db()
    return planned


def test_without_moulds_it_says_how_to_begin(signed_in):
    page = signed_in.get("/bench/")

    assert "To the first mix" in words(page)
    assert "Add a mould</a>, its copies, and fill it with water on the scale." in words(page)


def test_the_mould_to_fill_stands_first_with_its_grams(signed_in):
    mix = started(pots(), ago(4))
    cast = mix.casts.first()

    page = words(signed_in.get("/bench/"))

    assert f"Mix {mix.number}, {mix.colour.name}" in page
    assert "filling 1 of 4" in page
    assert f'<span class="fig">{cast.fill_mg // 1000}</span>' in page
    assert "never around a hand" in page
    assert "supplier's safety sheet come first" in page


def test_a_tap_on_poured_moves_to_the_next_mould_and_offers_undo(signed_in):
    mix = started(pots(), ago(4))
    first = mix.casts.first()

    page = words(tap(signed_in, "pour", first.pk))

    first.refresh_from_db()
    assert first.poured_at is not None
    assert "filling 2 of 4" in page
    assert "copy 1 poured" in page
    assert ">Undo<" in page


def test_a_second_screen_that_pours_the_same_mould_is_told_when(signed_in):
    mix = started(pots(), ago(4))
    first = mix.casts.first()
    tap(signed_in, "pour", first.pk)

    page = words(tap(signed_in, "pour", first.pk))

    assert "Already poured " in page


def test_over_its_working_time_the_panel_says_so_in_words(signed_in):
    started(pots(), ago(17))

    page = words(signed_in.get("/bench/"))

    assert 'class="now over"' in page
    assert "over. Pour only if it still flows." in page


def test_too_stiff_offers_a_top_up(signed_in):
    mix = started(pots(), ago(14))

    page = words(tap(signed_in, "stop", mix.pk))

    assert f"Mix {mix.number} left 4 moulds out" in page
    assert reverse("production:top-up", args=[mix.pk]) in page


def test_a_mould_past_its_time_is_in_hand(signed_in):
    mix = poured(pots(), ago(90))

    page = words(signed_in.get("/bench/"))

    assert f'<b id="due-in-hand-h">Mix {mix.number}' in page
    assert reverse("production:opened", args=[mix.pk]) in page


def test_the_bench_has_the_same_number_of_queries_with_more_history(signed_in, django_assert_max_num_queries):
    out_of_mould(pots(), ago(4000))
    signed_in.get("/bench/")
    with django_assert_max_num_queries(60) as counted:
        signed_in.get("/bench/")
    once = len(counted.captured_queries)
    for day in range(1, 4):
        out_of_mould(pots(), ago(4000 - day * 400))

    with django_assert_max_num_queries(once):
        signed_in.get("/bench/")


def test_only_people_of_the_studio_see_it(client):
    assert client.get("/bench/").status_code == 302


def test_the_address_to_pour_is_not_opened_by_a_link(signed_in):
    mix = started(pots(), ago(4))

    assert signed_in.get(reverse("production:pour", args=[mix.casts.first().pk])).status_code == 405
    assert not Cast.objects.filter(poured_at__isnull=False).exists()
    assert Mix.objects.get().poured_at is None


def test_after_a_scrap_it_leads_to_a_new_plan(signed_in):
    planned = pots_planned(ago(90))
    mix = out_of_mould(planned, ago(90))
    assert "Plan again" not in words(signed_in.get("/bench/"))
    casts = list(mix.casts.order_by("position"))
    for cast in casts:
        tap(signed_in, "judge", mix.pk, cast.pk, verdict="scrap")
    for cast in casts:
        tap(signed_in, "reason", mix.pk, cast.pk, reason="")

    page = words(signed_in.get("/bench/"))

    assert "Nothing to pour and nothing setting." in page
    assert "The plan has no mix ahead." not in page
    assert "Casts came out short since this plan." in page
    assert '<a href="/week/">Plan again</a> to take it in.' in page


def test_with_a_plan_that_is_done_it_says_that_no_mix_is_ahead(signed_in):
    for cast in out_of_mould(pots_planned(ago(90)), ago(90)).casts.all():
        tap(signed_in, "judge", cast.mix_id, cast.pk, verdict="good")
    Piece.objects.update(shipped_at=timezone.now())

    assert "The plan has no mix ahead." in words(signed_in.get("/bench/"))


def test_every_tap_of_the_past_day_can_be_taken_back_and_what_stands_on_it_is_said(signed_in):
    mix = started(pots(pieces=1), ago(30))
    for cast in mix.casts.order_by("position"):
        tap(signed_in, "pour", cast.pk)
    undos = re.findall(r'action="(/undo/\d+/)"', signed_in.get("/bench/lately/").content.decode())
    assert len(undos) == 3

    said = words(signed_in.post(undos[-1], {"request_key": uuid4()}, follow=True))
    assert "was poured" in said and "Undo that first." in said
    signed_in.post(undos[0], {"request_key": uuid4()}, follow=True)
    assert mix.casts.filter(poured_at__isnull=True).count() == 1
    assert "/undo/" in words(signed_in.get("/bench/lately/"))


def test_the_queue_says_what_comes_in_turn_and_the_next_free_minute(signed_in):
    poured(pots(), ago(90))
    poured(pots(), ago(80))

    page = words(signed_in.get("/bench/"))

    assert page.count("Out of the mould</button>") == 2
    assert "In turn" in page and "Hands are free at " in page
