"""Mix weights for any set of casts, as they follow the plates."""

from __future__ import annotations

import re

import pytest

from production.models import Mix, MouldCopy
from tests.factories.production import pots
from tests.production.views.test_bench import words
from tests.production.views.test_weigh import hidden

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


@pytest.fixture
def parts():
    planned = pots(copies=3)
    return planned.compound, [cast.part for cast in planned.casts.order_by("position")]


def powder(page):
    return int(re.search(r'Powder<small>.*?class="fig">([\d,]+)<', page)[1].replace(",", ""))


def test_a_cast_more_or_less_changes_the_grams_and_what_the_tub_will_hold(signed_in, parts):
    compound, (pot, saucer) = parts
    typed = {"compound": compound.pk, f"part-{pot.pk}": 1, f"part-{saucer.pk}": 1}
    one = words(signed_in.get("/bench/weights/", typed))
    more = words(signed_in.get("/bench/weights/", {**typed, "more": pot.pk}))
    less = words(signed_in.get("/bench/weights/", {**typed, f"part-{pot.pk}": 2, "less": pot.pk}))

    again = signed_in.get("/bench/weights/", {**typed, "more": pot.pk})["HX-Replace-Url"]
    assert powder(words(signed_in.get(f"/bench/weights/{again}"))) == powder(more)
    assert "2 casts in Brick" in one and "3 casts in Brick" in more
    assert powder(one) == powder(less) < powder(more)
    tub = compound.powder.containers.get().code
    assert f"<td>{tub}</td><td>{compound.powder.name}</td>" in one
    assert f"{15 - powder(one) / 1000:.3f} kg" in one


def test_the_extra_is_accounted_for(signed_in, parts):
    """300 mL and 100 mL, 3 % mixed extra, 30 g left in the jug."""
    compound, (pot, saucer) = parts
    typed = {"compound": compound.pk, f"part-{pot.pk}": 1, f"part-{saucer.pk}": 1}

    page = words(signed_in.get("/bench/weights/", typed))

    assert '<td>Moulds</td><td class="num">400.0</td>' in page
    assert '<td>Mixed extra</td><td class="num">12.0</td>' in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "No moulds in this mix. Add one."),
        ({"part": "1.5"}, "1.5 is no count. Type a whole number up to 99."),
        ({"part": "4"}, "1 short."),
        ({"part": "20"}, "Leave a mould out"),
    ],
    ids=["zero casts", "no count", "no copy free", "stiff before it is poured"],
)
def test_what_cannot_be_mixed_says_why(signed_in, parts, typed, sentence):
    compound, (pot, _) = parts
    sent = {"compound": compound.pk, f"part-{pot.pk}": typed.get("part", "")}

    assert sentence in words(signed_in.get("/bench/weights/", sent))


def test_the_set_is_weighed_and_started_as_it_was_put_together(signed_in, parts):
    compound, (pot, saucer) = parts
    typed = {"compound": compound.pk, f"part-{pot.pk}": 2, f"part-{saucer.pk}": 1, "water": "5"}
    page = words(signed_in.get("/bench/weights/", typed))
    there = re.search(r'href="(/bench/set/[^"]*)">Weigh it', page)[1]

    weigh = words(signed_in.get(there.replace("&amp;", "&")))
    signed_in.post("/bench/start/", hidden(weigh), follow=True)

    mix = Mix.objects.get()
    assert mix.powder_mg == powder(page) * 1000
    assert mix.water_adjust_percent == 5
    assert MouldCopy.objects.filter(casts__mix=mix).count() == 3
