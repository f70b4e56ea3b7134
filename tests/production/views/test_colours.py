"""The page of a colour, its swatches and tints, and the page of a mix."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from production.models import Colour, MixSwatch, RecipeSwatch
from tests.factories.production import pots, poured
from tests.inventory.arithmetic.test_photos import sent
from tests.production.views.test_bench import words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def address(page, *args):
    return reverse(f"production:{page}", args=args)


def keyed(**typed):
    return {"request_key": str(uuid4()), **typed}


def test_a_recipe_is_shown_for_100_g_of_powder_with_its_tints_beside_it(signed_in):
    colour = pots().colour
    signed_in.post(address("colour-tint", colour.pk), keyed(name="Pale", strength="50"), follow=True)
    tint = Colour.objects.get(name="Pale")

    page = words(signed_in.get(address("colour-page", colour.pk)))

    assert "g in 100 g of powder" in page and '<td class="num">2</td>' in page
    assert "Together, of 10 at most" in page
    assert 'data-th="Strength">50 %' in page and "no longer" not in page
    tint.pigments.update(load=0.015)
    assert "its own by now" in words(signed_in.get(address("colour-page", colour.pk)))


def test_a_mix_shows_what_was_weighed_and_how_far_its_colour_is_from_the_recipes(signed_in):
    """Source of the pair: Sharma, Wu and Dalal 2005, table 1, pair 25, dE00 1.2644."""
    mix = poured(pots())
    wanted = {"lightness": "60.2574", "a": "-34.0099", "b": "36.2677"}
    here = address("mix", mix.number)
    signed_in.post(address("colour-swatch", mix.colour_id, mix.compound_id), keyed(**wanted))

    signed_in.post(here, keyed(lightness="60,4626", a="-34.1751", b="39.4387"), follow=True)
    page = words(signed_in.get(here))

    assert "1.3 from" in page and "seen only edge to edge" in page
    assert f"{mix.powder_mg / 1000:,.0f} g" in page
    assert "30.0 g" in page
    there = words(signed_in.get(address("colour-page", mix.colour_id)))
    assert f"Mix {mix.number}</a>" in there and "1.3 away, seen only edge to edge" in there


def test_a_photo_is_kept_and_shown_and_two_figures_of_three_are_refused(signed_in_helper):
    mix = poured(pots())
    here = address("mix", mix.number)
    photo = SimpleUploadedFile("dry.jpg", sent(Image.new("RGB", (640, 480), (148, 71, 58))))

    refused = signed_in_helper.post(here, keyed(lightness="60", a="1"))
    page = words(signed_in_helper.post(here, keyed(photo=photo), follow=True))

    assert refused.status_code == 422 and "Type all three, as the meter shows them." in words(refused)
    name = MixSwatch.objects.get().photo.name
    assert f"/stores/photos/{name}/small/" in page
    assert not RecipeSwatch.objects.exists()


def test_a_mix_that_is_not_there_leads_back_with_a_sentence(signed_in):
    page = words(signed_in.get(address("mix", 999), follow=True))

    assert "There is no mix 999. Look for it in Trace." in page
