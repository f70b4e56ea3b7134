"""Compounds and colours as they are typed, kept and refused."""

from __future__ import annotations

from datetime import date

import pytest

from production.forms.compounds import ColourForm, CompoundForm, PigmentForm
from production.models import Colour, Compound
from tests.factories.inventory import a_material
from tests.factories.production import a_colour, a_compound
from tests.production.typed import a_typed_compound, rows, send, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


class TestCompound:
    @pytest.fixture
    def powder(self):
        return a_material(name="Pale powder")

    def test_it_is_kept_in_the_units_of_the_ledger(self, signed_in, powder):
        send(signed_in, "compound-new", **a_typed_compound(powder))

        kept = Compound.objects.get()
        assert (kept.residue_mg, kept.jug_most_mg, kept.overfill) == (30_000, 3_500_000, 0.03)
        assert (kept.open_after_minutes, kept.measured_yield_ml_per_100g) == (60, None)

    def test_parts_per_hundred_are_offered_as_a_ratio(self, signed_in, powder):
        page = send(signed_in, "compound-new", **a_typed_compound(powder, water_ratio="40"))

        assert page.status_code == 422
        assert 'value="40"' in words(page)
        assert '<button class="plate low" name="water_ratio" value="0.40">Use 0.40</button>' in words(page)
        assert not Compound.objects.exists()

    def test_the_offer_is_taken_by_its_plate(self, signed_in, powder):
        # the plate is sent after the field of the same name, and the last one counts
        send(signed_in, "compound-new", **a_typed_compound(powder, water_ratio=["40", "0.40"]))

        assert Compound.objects.get().water_ratio == 0.40

    def test_less_water_than_the_powder_takes_up_is_refused_beside_the_field(self, signed_in, powder):
        page = send(
            signed_in, "compound-new", **a_typed_compound(powder, water_ratio="0.17", name="dry compound")
        )

        assert page.status_code == 422
        assert list(page.context["form"].errors) == ["water_ratio"]
        assert "17 of water per 100 of powder is less than the 18.6 the powder takes up" in words(page)
        assert 'value="dry compound"' in words(page)
        assert not Compound.objects.exists()

    @pytest.mark.parametrize(
        ("typed", "field"),
        [
            ({"water_ratio": "1.6"}, "water_ratio"),
            ({"jug_most_mg": "0.02"}, "jug_most_mg"),
            ({"scale_step_mg": "0"}, "scale_step_mg"),
            ({"pigment_step_mg": "1 kg"}, "pigment_step_mg"),
            ({"stir_minutes": "15"}, "stir_minutes"),
            ({"residue_mg": "some"}, "residue_mg"),
            ({"working_time_minutes": "0"}, "working_time_minutes"),
        ],
    )
    def test_what_cannot_be_meant_is_refused_beside_its_field(self, signed_in, powder, typed, field):
        page = send(signed_in, "compound-new", **a_typed_compound(powder, **typed))

        assert page.status_code == 422
        assert list(page.context["form"].errors) == [field]

    def test_a_retired_powder_can_stay_chosen(self, signed_in, powder):
        compound = a_compound(powder=powder, name="quick compound")
        powder.retired_on = date(2026, 9, 1)
        powder.save()

        send(signed_in, "compound", compound.pk, **a_typed_compound(powder, water_ratio="0.32"))

        compound.refresh_from_db()
        assert compound.water_ratio == 0.32


class TestColour:
    @pytest.fixture
    def compound(self):
        return a_compound(pigment_load_most=0.05, name="quick compound")

    @pytest.fixture
    def oxide(self):
        return a_material(name="Red oxide", kind="pigment")

    def test_its_pigments_are_kept_as_parts_of_the_powder(self, signed_in, compound, oxide):
        row = {"compound": compound.pk, "pigment": oxide.pk, "load": "1.2"}
        send(signed_in, "colour-new", name="Rust", hex="#7a3b22", **rows(row, {}))

        pigment = Colour.objects.get(name="Rust").pigments.get()
        assert pigment.load == pytest.approx(0.012)

    def test_more_pigment_than_the_compound_carries_is_refused(self, signed_in, compound, oxide):
        ochre = a_material(name="Ochre", kind="pigment")
        typed = rows(
            {"compound": compound.pk, "pigment": oxide.pk, "load": "3"},
            {"compound": compound.pk, "pigment": ochre.pk, "load": "3"},
        )
        page = send(signed_in, "colour-new", name="Rust", hex="#7a3b22", **typed)

        assert page.status_code == 422
        assert "quick compound: 6 % pigment is more than the 5 % this compound carries." in words(page)
        assert 'value="Rust"' in words(page)
        assert not Colour.objects.exists()

    def test_one_pigment_twice_is_refused(self, signed_in, compound, oxide):
        row = {"compound": compound.pk, "pigment": oxide.pk, "load": "1"}
        page = send(signed_in, "colour-new", name="Rust", hex="#7a3b22", **rows(row, row))

        assert page.status_code == 422
        assert "This pigment is in the same compound twice." in words(page)

    def test_a_pigment_can_be_taken_out(self, signed_in, compound, oxide):
        colour = a_colour(compound)
        pigment = colour.pigments.get()
        row = {
            "id": pigment.pk,
            "compound": compound.pk,
            "pigment": pigment.pigment_id,
            "load": "2",
            "DELETE": "on",
        }
        send(signed_in, "colour", colour.pk, name=colour.name, hex=colour.hex, **rows(row, kept=1))

        assert not colour.pigments.exists()


@pytest.mark.django_db
def test_two_colours_whose_names_differ_in_capitals_only_are_refused():
    ColourForm({"name": "Fog", "hex": "#b4babb"}).save()

    again = ColourForm({"name": "fog", "hex": "#b4babb"})

    assert again.errors["name"] == ["Fog is here already. Give this one another name."]


@pytest.mark.django_db
@pytest.mark.parametrize(("typed", "said"), [("50", "50 g"), ("-1", "-1 g"), ("120", "120 g")])
def test_a_load_that_cannot_be_is_refused_beside_its_field(typed, said):
    form = PigmentForm({"load": typed})

    assert form.errors["load"] == [f"{said} for 100 g of powder cannot be. Type 0 to below 50 g."]


@pytest.mark.django_db
@pytest.mark.parametrize("field", ["overfill", "sieve_allowance", "pigment_load_most"])
def test_a_part_below_nothing_or_above_all_is_refused(field):
    assert CompoundForm({field: "-3"}).errors[field] == ["Type 0 or more."]
    assert CompoundForm({field: "300"}).errors[field] == ["Type 100 or less."]
