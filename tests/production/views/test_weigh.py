"""The Weigh page, its two ways to change the mix, and the start."""

from __future__ import annotations

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from production.models import Compound, Mix, MouldCopy
from production.operations.pouring import stop_mix
from tests.factories.inventory import KG, a_filled_tub, a_tap, held
from tests.factories.production import minutes, pots, started
from tests.production.views.test_bench import words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def address(planned):
    return reverse("production:weigh", args=[planned.pk])


def hidden(page):
    """What the start form of the page would send with every ingredient ticked."""
    form = re.search(r'<form method="post" action="/bench/start/".*?</form>', page)[0]
    sent = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form))
    return sent | {name: "on" for name in re.findall(r'type="checkbox" name="(\w+)"', form)}


def test_it_shows_every_weight_and_the_order_of_the_fills(signed_in):
    page = words(signed_in.get(address(pots())))

    assert "jug on the scale, set to 0" in page
    assert "In the jug" in page
    assert page.index("Powder") < page.index("Water") < page.index("Red oxide")
    assert "Mask on before the tub is opened." in page
    left = 15 - int(hidden(page)["powder_mg"]) / KG
    assert f" then holds {left:.3f} kg" in page
    assert page.count("copy 1") == page.count("copy 2") == 2


def test_a_pour_planned_for_another_day_says_the_day(signed_in):
    planned = pots()
    local = timezone.localtime(timezone.now())
    type(planned).objects.filter(pk=planned.pk).update(poured_by=local)
    assert f"pour planned {local:%a}" not in words(signed_in.get(address(planned)))

    later = local + timedelta(days=9)
    type(planned).objects.filter(pk=planned.pk).update(poured_by=later)
    assert f"pour planned {later:%a} {later.day}" in words(signed_in.get(address(planned)))


def test_powder_in_starts_what_was_shown(signed_in):
    page = words(signed_in.get(address(pots())))
    sent = hidden(page)

    answer = words(signed_in.post("/bench/start/", sent, follow=True))

    assert Mix.objects.get().powder_mg == int(sent["powder_mg"])
    assert "filling 1 of 4" in answer


def test_what_was_really_weighed_is_kept_typed_or_by_difference(signed_in):
    planned = pots()
    sent = hidden(words(signed_in.get(address(planned))))
    powder, pigment = int(sent["powder_mg"]), planned.colour.pigments.get().pigment

    said = words(
        signed_in.post(
            "/bench/start/",
            sent
            | {"real_powder": f"{powder // 1000 + 20} g", "real_water": "450"}
            | {f"before_{pigment.pk}": "912.5", f"after_{pigment.pk}": "880"},
            follow=True,
        )
    )

    mix = Mix.objects.get()
    assert (mix.powder_mg, mix.water_mg) == (powder + 20_000, 450_000)
    assert mix.draws.get(material=pigment).amount == 32_500
    assert "filling 1 of 4" in said


def test_what_is_not_ticked_or_not_believed_is_refused_and_all_that_was_typed_stays(signed_in):
    planned = pots()
    sent = hidden(words(signed_in.get(address(planned))))

    unticked = {key: value for key, value in sent.items() if key != "in_water"}
    page = words(signed_in.post("/bench/start/", unticked | {"real_powder": "1510", "at": "09:10"}))
    assert "Not ticked yet: Water. Tick what is in the jug" in page
    assert 'value="1510"' in page and 'value="09:10' in page

    page = words(signed_in.post("/bench/start/", sent | {"real_water": "45"}))
    assert "and 45 g was typed. Read the scale again." in page
    assert Mix.objects.count() == 0


def test_a_start_typed_late_counts_from_when_it_was(signed_in):
    planned = pots()
    sent = hidden(words(signed_in.get(address(planned))))
    hour_ago = timezone.localtime() - timedelta(hours=1)

    signed_in.post("/bench/start/", sent | {"at": f"{hour_ago:%H:%M}"}, follow=True)

    assert f"{timezone.localtime(Mix.objects.get().started_at):%d %H:%M}" == f"{hour_ago:%d %H:%M}"


def test_another_tub_is_chosen_weighed_from_and_kept_with_the_mix(signed_in):
    planned = pots()
    turn = planned.compound.powder.containers.get()
    other = a_filled_tub(20 * KG, planned.compound.powder, code="B9")
    first = words(signed_in.get(address(planned)))
    assert "Weigh from B9" in first
    pigment = planned.colour.pigments.get().pigment.containers.get()
    assert hidden(first)["tub"] == f"{turn.code},{pigment.code}"

    page = words(signed_in.get(f"{address(planned)}?tub=B9&water=5"))
    assert f"B9 is taken out of its turn: {turn.code} comes first." in page
    said = words(signed_in.post("/bench/start/", hidden(page), follow=True))

    assert f"Powder from B9 instead of {turn.code}." in said
    assert held(other) == 20 * KG - Mix.objects.get().powder_mg


def test_the_tub_on_the_page_is_drawn_from_whichever_comes_first_by_then(signed_in):
    """Somebody fills another tub between the page and the tap: the powder in the jug is of the first."""
    planned = pots()
    shown = planned.compound.powder.containers.get()
    sent = hidden(words(signed_in.get(address(planned))))
    a_filled_tub(20 * KG, planned.compound.powder, code="A1", role="working", opened_at=timezone.now())

    signed_in.post("/bench/start/", sent, follow=True)

    assert held(shown) < 15 * KG


def test_a_tub_that_was_emptied_since_makes_way_for_the_one_in_turn(signed_in):
    planned = pots()

    page = words(signed_in.get(f"{address(planned)}?tub=B99", follow=True))

    assert "B99 holds nothing that this mix takes. Weigh " in page
    assert "Powder in: start" in page


def test_thinner_reworks_the_grams_and_starts_with_them(signed_in):
    planned = pots()
    plain = hidden(words(signed_in.get(address(planned))))

    thin = hidden(words(signed_in.get(f"{address(planned)}?water=5,5")))
    signed_in.post("/bench/start/", thin, follow=True)

    assert thin["powder_mg"] < plain["powder_mg"]
    assert Mix.objects.get().water_adjust_percent == 5.5


def test_a_number_that_cannot_be_is_refused_beside_the_field(signed_in):
    page = words(signed_in.get(f"{address(pots())}?water=80"))

    assert "Thinner than 25 % more water is another mix." in page


def test_a_mould_left_out_is_not_filled(signed_in):
    planned = pots()
    entry = planned.casts.get(part__name="pot").pk
    page = words(signed_in.get(f"{address(planned)}?out={entry}"))

    signed_in.post("/bench/start/", hidden(page), follow=True)

    assert "1 left out" in page
    assert Mix.objects.get().casts.count() == 3


def test_a_mould_that_is_not_free_blocks_the_plate_and_says_why(signed_in):
    planned = pots()
    MouldCopy.objects.filter(number=2).update(lent_on="2026-10-01")

    page = words(signed_in.get(address(planned)))

    assert "Copy 2 is lent." in page
    assert 'aria-disabled="true"' in page


def test_weights_that_changed_since_are_refused_and_nothing_is_drawn(signed_in):
    sent = hidden(words(signed_in.get(address(pots()))))
    Compound.objects.update(residue_mg=200_000)

    answer = words(signed_in.post("/bench/start/", sent, follow=True))

    assert "Open it again." in answer
    assert Mix.objects.count() == 0


def test_a_mix_started_on_another_screen_leads_back_to_the_bench(signed_in):
    planned = pots()
    started(planned, timezone.now() - minutes(2))

    answer = signed_in.get(address(planned), follow=True)

    assert answer.redirect_chain == [("/bench/", 302)]
    assert "was started" in words(answer)


def test_a_top_up_is_weighed_with_a_word_on_its_colour(signed_in):
    mix = started(pots(), timezone.now() - minutes(20))
    stop_mix(**a_tap(now=timezone.now() - minutes(5)), mix_id=mix.pk)
    page = words(signed_in.get(reverse("production:top-up", args=[mix.pk])))

    signed_in.post("/bench/start/", hidden(page), follow=True)

    assert "A second mix can differ in colour" in page
    assert Mix.objects.latest("number").casts.count() == 4


def test_a_page_without_its_fields_is_too_old(signed_in):
    answer = words(signed_in.post("/bench/start/", {"request_key": uuid4()}, follow=True))

    assert "This page is too old to answer." in answer


class TestBesideThePlan:
    def test_an_article_in_its_colour_is_chosen_weighed_and_started(self, signed_in):
        article = pots().casts.first().part.article
        colour = article.colours.get()
        chosen = {"wanted": f"{article.pk}-{colour.pk}", "pieces": "2"}

        page = words(signed_in.get("/bench/other/", chosen, follow=True))
        signed_in.post("/bench/start/", hidden(page), follow=True)

        assert "beside the plan" in page
        mix = Mix.objects.get()
        assert (mix.planned, mix.casts.count()) == (None, 4)
        assert {cast.wanted_by for cast in mix.casts.all()} == {""}

    def test_what_is_no_number_is_refused_beside_the_field(self, signed_in):
        article = pots().casts.first().part.article
        chosen = {"wanted": f"{article.pk}-{article.colours.get().pk}", "pieces": "two"}

        page = words(signed_in.get("/bench/other/", chosen))

        assert "Type a whole number, such as 2." in page

    def test_an_empty_range_says_what_to_do(self, signed_in):
        assert "Nothing in the range." in words(signed_in.get("/bench/other/"))
