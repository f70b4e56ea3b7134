"""Swatches of recipes and mixes, and tints of a colour."""

from __future__ import annotations

from uuid import uuid4

import pytest
from PIL import Image

from inventory.arithmetic.photos import clean_photo
from inventory.models import Photo
from production.arithmetic.colour_difference import Lab
from production.errors import LaterActsDepend, NotThere, SwatchRefused, TintRefused
from production.models import Colour, MixSwatch, RecipeSwatch
from production.operations.swatches import add_tint, note_mix_swatch, note_recipe_swatch
from production.operations.undoing import UNDO
from tests.factories.inventory import a_tap
from tests.factories.production import a_colour, a_compound, pots, poured
from tests.inventory.arithmetic.test_photos import sent

pytestmark = pytest.mark.django_db
BRICK = Lab(90.8027, -2.0831, 1.4410)
NEAR = Lab(91.1528, -1.6435, 0.0447)


def a_photo():
    return clean_photo(sent(Image.new("RGB", (64, 64), (148, 71, 58))))


def noted(mix, **content):
    keys = {"colour_id": mix.colour_id, "compound_id": mix.compound_id}
    return note_recipe_swatch(**a_tap(), **keys, **content)


def test_a_mix_is_told_how_far_it_is_from_its_recipes_swatch():
    """Source of the pair and of 1.4441: Sharma, Wu and Dalal 2005, table 1, pair 31."""
    mix = poured(pots())
    noted(mix, lab=BRICK)

    done = note_mix_swatch(**a_tap(), mix_id=mix.pk, lab=NEAR)

    assert f"1.4 from {mix.colour}'s own: seen only edge to edge." in done.said
    assert MixSwatch.objects.get().lab == NEAR


def test_a_photo_alone_is_kept_and_figures_typed_later_leave_it():
    mix = poured(pots())
    noted(mix, photo=a_photo())
    kept = RecipeSwatch.objects.get()
    assert kept.lab is None and kept.photo_id == Photo.objects.get().pk

    noted(mix, lab=BRICK)

    kept.refresh_from_db()
    assert kept.lab == BRICK and kept.photo_id is not None


def test_the_same_tap_again_keeps_one_swatch_and_one_photo():
    mix, tap = poured(pots()), a_tap(uuid4())
    content = {"mix_id": mix.pk, "photo": a_photo()}

    first, again = note_mix_swatch(**tap, **content), note_mix_swatch(**tap, **content)

    assert again.again and again.act_id == first.act_id
    assert Photo.objects.count() == MixSwatch.objects.count() == 1


def test_undone_the_swatch_is_what_it_was_before_or_none():
    mix = poured(pots())
    noted(mix, lab=BRICK)
    second = noted(mix, lab=NEAR)
    only = note_mix_swatch(**a_tap(), mix_id=mix.pk, lab=NEAR)

    UNDO["production.note_recipe_swatch"](**a_tap(), act_id=second.act_id)
    UNDO["production.note_mix_swatch"](**a_tap(), act_id=only.act_id)

    assert RecipeSwatch.objects.get().lab == BRICK
    assert not MixSwatch.objects.exists()


def test_nothing_measured_and_no_photo_is_refused_and_so_are_figures_no_meter_shows():
    mix = poured(pots())

    with pytest.raises(SwatchRefused, match="or choose a photo"):
        noted(mix)
    with pytest.raises(SwatchRefused, match="It goes from 0, black, to 100, white"):
        noted(mix, lab=Lab(500, 0, 0))
    with pytest.raises(NotThere):
        note_mix_swatch(**a_tap(), mix_id=mix.pk + 1, lab=BRICK)
    assert not RecipeSwatch.objects.exists()


class TestTint:
    def test_it_is_a_recipe_of_its_own_with_a_part_of_every_pigment(self):
        quick, slow = a_compound(), a_compound()
        brick = a_colour(quick, slow, load=0.02)

        done = add_tint(**a_tap(), colour_id=brick.pk, name="Pale brick", strength=0.25)

        tint = Colour.objects.get(name="Pale brick")
        assert done.said == f"Pale brick added: {brick} at 25 %."
        assert (tint.tint_of, tint.strength) == (brick, 0.25)
        assert {row.compound: row.load for row in tint.pigments.all()} == {quick: 0.005, slow: 0.005}

    @pytest.mark.parametrize(
        ("content", "sentence"),
        [
            ({"strength": 1.0, "name": "Pale"}, "Type 1 to 99 %"),
            ({"strength": 0.5, "name": "BRICK"}, "Brick is here already"),
        ],
    )
    def test_what_makes_none_is_refused(self, content, sentence):
        brick = a_colour(a_compound(), name="Brick")

        with pytest.raises(TintRefused, match=sentence):
            add_tint(**a_tap(), colour_id=brick.pk, **content)

    def test_a_colour_without_a_recipe_has_no_tint(self):
        with pytest.raises(TintRefused, match="Give it its recipe first"):
            add_tint(**a_tap(), colour_id=a_colour().pk, name="Pale", strength=0.5)

    def test_undone_it_is_gone_unless_something_is_made_in_it(self):
        brick = a_colour(a_compound(), name="Brick")
        pale = add_tint(**a_tap(), colour_id=brick.pk, name="Pale", strength=0.5)
        paler = add_tint(**a_tap(), colour_id=Colour.objects.get(name="Pale").pk, name="Paler", strength=0.5)

        with pytest.raises(LaterActsDepend, match="Pale is in use by now"):
            UNDO["production.add_tint"](**a_tap(), act_id=pale.act_id)
        UNDO["production.add_tint"](**a_tap(), act_id=paler.act_id)
        UNDO["production.add_tint"](**a_tap(), act_id=pale.act_id)

        assert list(Colour.objects.all()) == [brick]
