"""What can go into one mix together."""

from __future__ import annotations

import pytest

from production.models import ArticlePart
from production.queries.mix_sets import compounds_offered
from tests.factories.inventory import MONDAY
from tests.factories.production import a_colour, a_compound, a_mould, an_article, pots, poured

pytestmark = pytest.mark.django_db


def test_each_compound_has_its_parts_with_the_copies_that_are_free_and_its_colours():
    planned = pots(copies=3)
    poured(planned)
    slow = a_compound(name="zz slow plaster")
    bare = a_colour(name="Shell")
    an_article(slow, bare, a_mould(volume_ul=None))
    with_recipe = a_colour(slow, name="Fog")

    quick_found, slow_found = compounds_offered(now=MONDAY)

    assert [(part.part, part.free, part.here) for part in quick_found.parts] == [
        ("pot", 1, 3), ("saucer", 1, 3),
    ]  # fmt: skip
    assert slow_found.parts[0].volume_ul is None
    assert [colour.name for colour in slow_found.colours] == [with_recipe.name, bare.name]


def test_a_part_with_a_colour_of_its_own_is_not_offered():
    planned = pots()
    ArticlePart.objects.filter(name="saucer").update(own_colour=planned.colour)

    (found,) = compounds_offered(now=MONDAY)

    assert [part.part for part in found.parts] == ["pot"]
