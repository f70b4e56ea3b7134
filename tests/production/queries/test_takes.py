"""What one piece takes of every material."""

from __future__ import annotations

import pytest

from production.models import ColourPigment
from production.queries.range import article_page
from tests.factories.inventory import MONDAY, a_material
from tests.factories.production import a_colour, a_compound, a_mould, a_route, an_article

pytestmark = pytest.mark.django_db


def takes(article):
    return {
        (one.material, one.colour): one.amount / 1000 for one in article_page(article.pk, now=MONDAY).takes
    }


def test_powder_water_and_pigment_follow_from_the_volume():
    # check-values 2.batch, ideal mixing: 500 mL + 5 % at density 2.76, 40 of water and 2 of pigment at
    # 4.0 g/mL per 100 of powder: powder 683.56 g, water 273.42 g, pigment 13.67 g.
    powder = a_material(name="Alpha powder")
    compound = a_compound(powder=powder, water_ratio=0.40, powder_density_g_per_ml=2.76, overfill=0.05)
    colour = a_colour(name="Slate")
    oxide = a_material(name="Black oxide", kind="pigment", density_g_per_ml=4.0)
    ColourPigment.objects.create(colour=colour, compound=compound, pigment=oxide, load=0.02)
    article = an_article(compound, colour, a_mould(volume_ul=500_000))

    found = takes(article)

    assert found["Alpha powder", ""] == pytest.approx(683.56, abs=1)
    assert found["Water", ""] == pytest.approx(273.42, abs=1)
    assert found["Black oxide", "Slate"] == pytest.approx(13.67, abs=0.1)


def test_two_parts_of_a_compound_are_added_up():
    powder = a_material(name="Pale powder")
    compound = a_compound(powder=powder)
    colour = a_colour(compound)
    one = an_article(compound, colour, a_mould(volume_ul=400_000))
    two = an_article(compound, colour, a_mould(volume_ul=300_000), a_mould(volume_ul=100_000))

    assert takes(two)["Pale powder", ""] == pytest.approx(takes(one)["Pale powder", ""], abs=1)


def test_steps_and_packaging_take_what_they_say():
    compound = a_compound()
    sealer = a_material(name="Clear sealer", kind="sealer", unit="ml")
    box = a_material(name="Box", kind="packaging", unit="piece")
    route = a_route({"material": sealer, "amount_each": 12_000})
    article = an_article(
        compound, a_colour(compound), a_mould(), route=route, packaging=box, packaging_each=1000
    )

    found = takes(article)

    assert (found["Clear sealer", ""], found["Box", ""]) == (12, 1)


def test_an_article_without_parts_takes_nothing():
    compound = a_compound()

    assert takes(an_article(compound, a_colour(compound))) == {}
