"""The door from rows to the mix arithmetic."""

from __future__ import annotations

import pytest

from inventory.models import Container, Holding
from production.models import Compound, MouldCopy
from production.queries.asked import asked_as_typed, asked_by_plan
from production.queries.mix_weights import mix_to_weigh
from tests.factories.inventory import KG, MONDAY, a_filled_tub
from tests.factories.production import a_colour, a_compound, a_mould, a_planned_mix, an_article, pots

pytestmark = pytest.mark.django_db


def made_up(planned, **options):
    return mix_to_weigh(asked_by_plan(planned.pk), now=MONDAY, **options)


def test_one_litre_of_moulds_takes_the_powder_of_the_ideal_mixing_formula():
    """Consistency 40 of beta hemihydrate (2.63 g/mL): slurry 1.7927 g/mL (ideal mixing, check by hand).

    1,000 mL weigh 1,792.7 g, of which powder is 1/1.4 = 1,280.5 g, up to the scale's next gram 1,281 g; water
    is 0.40 of that, 512 g.
    """
    compound = a_compound(water_ratio=0.40, overfill=0, residue_mg=0, powder_density_g_per_ml=2.63)
    colour = a_colour(compound, load=0.0)
    mould = a_mould(volume_ul=500_000)
    planned = a_planned_mix(an_article(compound, colour, mould), colour, pieces=2)

    found = made_up(planned)

    assert (found.weights.powder_mg, found.weights.water_mg) == (1_281_000, 512_000)
    assert [fill.fill_mg for fill in found.fills] == [896_000, 896_000]


def test_what_stays_in_the_jug_is_reckoned_with_the_measured_yield_where_there_is_one():
    """100 g of powder with 40 g of water fill 80 mL: 1.75 g/mL, so 70 g left in the jug are 40 mL.

    1,000 mL of moulds and 40 mL are 1,040 mL; at 80 mL for 100 g that is 1,300 g of powder (check by hand).
    """
    compound = a_compound(water_ratio=0.40, overfill=0, residue_mg=70_000, measured_yield_ml_per_100g=80.0)
    colour = a_colour(compound, load=0.0)
    mould = a_mould(volume_ul=500_000)
    planned = a_planned_mix(an_article(compound, colour, mould), colour, pieces=2)

    found = made_up(planned)

    assert (found.weights.residue_ul, found.weights.powder_mg) == (40_000, 1_300_000)


def test_each_fill_has_a_copy_of_its_own_and_the_tub_is_named():
    planned = pots()

    found = made_up(planned)

    assert [(fill.part, fill.copy.number) for fill in found.fills] == [
        ("pot", 1), ("pot", 2), ("saucer", 1), ("saucer", 2),
    ]  # fmt: skip
    tub = planned.compound.powder.containers.get()
    assert (found.powder.tub.code, found.powder.tub.sieve) == (tub.code, False)
    assert found.blocks == ()


def test_powder_from_a_lumpy_tub_gets_the_sieve_allowance():
    planned = pots()
    plain = made_up(planned).weights.powder_mg
    Container.objects.update(is_lumpy=True)

    found = made_up(planned)

    assert found.powder.tub.sieve is True
    # 2 % is lost in the sieve: 1/0.98 of the powder, to the gram.
    assert found.weights.powder_mg == pytest.approx(plain / 0.98, abs=1_500)


def test_what_stands_in_the_way_is_said_with_the_page_that_helps():
    planned = pots()
    Compound.objects.update(residue_mg=3_000_000, jug_most_mg=9_000_000)
    MouldCopy.objects.filter(number=2).update(lent_on=MONDAY.date())
    planned.compound.powder.containers.get().place.holdings.update(amount=KG)

    sentences = [(block.sentence, block.place) for block in made_up(planned).blocks]

    assert sentences[0][0].endswith("1 short. Copy 2 is lent. Wait, or leave 1 out.")
    assert "holds 1 kg" in sentences[2][0] or "holds 1.00 kg" in sentences[2][0]
    assert sentences[2][1] == "inventory:receive"


def test_casts_typed_by_hand_make_a_mix_too():
    compound = a_compound()
    colour = a_colour(compound)
    part = an_article(compound, colour, a_mould()).parts.get()
    asked = asked_as_typed(compound.pk, colour.pk, [{"part_id": part.pk, "quantity": 2}])

    found = mix_to_weigh(asked, now=MONDAY)

    assert len(found.fills) == 2
    assert found.blocks == ()


def test_the_number_of_queries_does_not_grow_with_the_moulds(django_assert_max_num_queries):
    few, many = pots(pieces=1), pots(pieces=3, copies=8)
    with django_assert_max_num_queries(11) as counted:
        made_up(few)

    with django_assert_max_num_queries(len(counted.captured_queries)):
        made_up(many)


def test_grams_are_rounded_to_the_steps_of_the_studios_own_scales():
    """400 mL + 3 % + the residue: powder up to the next 5 g, water 0.30 of that powder, to the next 5 g."""
    planned = pots(pieces=1)
    Compound.objects.update(scale_step_mg=5_000, pigment_step_mg=10)

    found = made_up(planned)

    assert found.weights.powder_mg % 5_000 == found.weights.water_mg % 5_000 == 0
    assert abs(found.weights.water_mg - 0.30 * found.weights.powder_mg) <= 2_500
    assert found.weights.pigments[0].weight_mg == pytest.approx(0.02 * found.weights.powder_mg, abs=5)


def test_each_tub_is_told_what_it_will_hold_and_pigment_comes_out_of_several():
    planned = pots()
    (pigment,) = planned.colour.pigments.all()
    first = Container.objects.get(material=pigment.pigment)
    a_filled_tub(KG, pigment.pigment, code="ZZ9")
    Holding.objects.filter(place=first.place).update(amount=1_000)

    found = made_up(planned)

    assert found.powder.afterwards == ((found.powder.tub.code, 15 * KG - found.weights.powder_mg),)
    taken = found.pigments[0].amount_mg
    assert found.pigments[0].afterwards == ((first.code, 0), ("ZZ9", KG - (taken - 1_000)))
