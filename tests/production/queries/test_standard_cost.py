"""What a piece should cost, worked out by hand from round figures."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.models import Lot
from production.arithmetic.costing import CARRIED
from production.models import Article, Mould, MouldCopy
from production.queries.article_cost import article_cost, piece_cost
from production.queries.range import priced_range
from tests.factories.inventory import KG, MONDAY, G, a_filled_tub, a_material
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_route,
    an_article,
    judged,
    out_of_mould,
    pots,
)

pytestmark = pytest.mark.django_db

NOW = MONDAY + timedelta(days=3)
STUDIO = {"now": NOW, "rate_minor": 1800, "board_pieces": 4}


@pytest.fixture
def tray():
    """A tray of 500 mL in a compound of 2 g powder and 0.5 g water for each mL, sold at 20.00.

    Powder is 1.00 a kilogram, oxide 10.00, sealer 20.00 a litre, a box 0.75, a mould 24.00 for 60 casts.
    """
    compound = a_compound(
        water_ratio=0.25,
        powder_density_g_per_ml=4.00721,
        measured_yield_ml_per_100g=50.0,
        overfill=0.0,
        residue_mg=125 * G,
        jug_most_mg=3 * KG,
        weigh_and_mix_minutes=10,
        clean_up_minutes=2,
    )
    colour = a_colour(compound, load=0.01)
    sealer = a_filled_tub(KG, a_material(name="Sealer", kind="sealer", unit="ml"), role="working").material
    box = a_filled_tub(10_000, a_material(name="Box", kind="packaging", unit="piece")).material
    route = a_route(
        {
            "wait_minutes": None,
            "material": sealer,
            "amount_each": 10 * G,
            "minutes_each": 3,
            "minutes_per_board": 4,
        }
    )
    mould = a_mould(volume_ul=500_000, fill_minutes=2, open_minutes=3, copies=2)
    MouldCopy.objects.update(price_minor=2400, casts_expected=60)
    Lot.objects.filter(material=compound.powder).update(price_minor=1500)
    Lot.objects.filter(material__kind="pigment").update(price_minor=1000)
    Lot.objects.filter(material=sealer).update(price_minor=2000)
    Lot.objects.filter(material=box).update(price_minor=750)
    return an_article(
        compound,
        colour,
        mould,
        route=route,
        packaging=box,
        packaging_each=1000,
        pack_minutes=4,
        price_minor=2000,
        margin_wanted=0.5,
    )


def lines(cost):
    return {line.name: line.minor for line in cost.lines}


def test_every_line_is_what_it_takes_at_what_that_costs(tray):
    """Worked here. No mix yet: two trays a mix, as two moulds allow, so half of its hands and residue each.

    100 g of powder and 25 g of water are 50 mL: a tray takes 1,000 g of powder, and half of the 125 g of
    slurry that stay in the jug another 50 g; a hundredth of that is oxide. Hands at 18.00 an hour are 0.30 a
    minute: mixing 12 / 2 = 6 min, filling and opening 5, coat 3 + 4 / 2 = 5, packing 4.
    """
    page = article_cost(tray.pk, **STUDIO)
    (cost,) = page.priced.costs
    found = lines(cost)

    assert cost.usual_mix_pieces == 2
    assert found["Weighing, mixing, cleaning up"] == 180
    assert found["Filling and opening"] == 150
    assert found["Coat 1, hands"] == 150
    assert found["Packing"] == 120
    assert found["Sealer"] == 20
    assert found["Box"] == 75
    assert found[f"Wear of the mould {Mould.objects.get()}"] == 40
    powder = next(line for line in cost.lines if line.name.startswith("Quick powder"))
    assert abs(powder.amount - 1_050 * G) <= 1 * G
    assert powder.minor in (105, 106)
    oxide = next(line for line in cost.lines if line.name.startswith("Red oxide"))
    assert abs(oxide.amount - 10_500) <= 10
    assert CARRIED not in found
    assert cost.unknown == ()
    assert cost.total_minor == sum(found.values())


def test_price_and_margin_are_against_the_dearest_colour(tray):
    priced = article_cost(tray.pk, **STUDIO).priced

    assert priced.left_minor == 2000 - priced.dearest.total_minor
    assert priced.wanted_minor == 2 * priced.dearest.total_minor
    assert not priced.is_short
    Article.objects.update(margin_wanted=0.9)
    assert article_cost(tray.pk, **STUDIO).priced.is_short


def test_what_has_no_price_is_named_and_not_guessed(tray):
    Lot.objects.filter(material__kind="pigment").update(price_minor=0)

    (cost,) = article_cost(tray.pk, **STUDIO).priced.costs

    assert len(cost.unknown) == 1
    assert cost.unknown[0].startswith("Red oxide")


def test_what_failed_in_the_past_year_is_carried_and_the_pieces_stand_beside_it():
    """Of two pots and saucers a saucer is scrap: a half cast piece is carried by the one good piece."""
    mix = out_of_mould(pots())
    Lot.objects.update(price_minor=1000)
    casts = list(mix.casts.order_by("position"))
    for number, cast in enumerate(casts):
        judged(cast, "scrap" if number == 3 else "good")
    article = casts[0].part.article

    page = article_cost(article.pk, **STUDIO)

    assert (page.priced.losses.scrap_casts, page.priced.losses.good) == (1, 1)
    (cost,) = page.priced.costs
    bare = sum(line.minor for line in cost.lines if line.name not in (CARRIED, "Packing"))
    carried = lines(cost)[CARRIED]
    assert abs(carried - bare / 2) <= 2
    (made,) = page.made
    assert sum(one.minor for one in made.because) == made.difference_minor
    assert piece_cost(made.actual.mark, **STUDIO).cost == made


def test_the_range_prices_every_article_in_as_many_queries(tray, django_assert_max_num_queries):
    for _ in range(4):
        compound = tray.parts.get().compound
        an_article(compound, tray.colours.get(), a_mould())

    with django_assert_max_num_queries(28):
        rows, priced = priced_range(**STUDIO)

    assert len(rows) == len(priced) == 5
    assert priced[tray.pk].dearest.total_minor > 0
