"""Forms turn text into the keywords of one operation."""

from __future__ import annotations

from datetime import date

import pytest
from django.urls import reverse

from inventory.forms.deliveries import ReceiveForm
from inventory.forms.materials import MaterialForm, SupplierForm
from inventory.forms.moving import ChooseDecantForm, CountForm, DecantForm
from inventory.forms.tubs import TubEditForm, TubFieldsForm
from inventory.queries.containers import tub_page, tub_to_change
from inventory.queries.decant_proposal import tub_states
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_supplier, a_tub

pytestmark = pytest.mark.django_db


def test_a_decant_is_typed_tub_and_all_in_kilograms():
    powder = a_material()
    a_filled_tub(KG, powder, code="B4")
    a_tub(powder, code="Q2", role="working")
    source, target = tub_states(["B4", "Q2"])

    form = DecantForm(
        {"before": "14.90", "after": "5,53", "lumps": "60 g", "target_after": "", "amount": ""},
        source=source,
        target=target,
    )

    assert form.is_valid()
    assert form.content() == {
        "before_mg": 14_900_000,
        "after_mg": 5_530_000,
        "lumps": 60_000,
        "target_after_mg": None,
        "amount": None,
    }
    assert form["before"].label == "B4 before"
    assert form.fields["before"].unit == "kg"


def test_what_is_not_weighed_has_no_readings():
    sealer = a_material(unit="ml", kind="sealer")
    a_filled_tub(KG, sealer, code="S1")
    a_tub(sealer, code="S2", role="working")
    source, target = tub_states(["S1", "S2"])

    form = DecantForm({"amount": "0.5"}, source=source, target=target)

    assert set(form.fields) == {"lumps", "amount"}
    assert form.is_valid()
    assert form.content()["amount"] == 500_000


def test_only_tubs_in_use_can_be_chosen_and_only_working_ones_as_target():
    powder = a_material()
    bulk, working = a_tub(powder), a_tub(powder, role="working")
    a_tub(powder, role="working", retired_on=MONDAY.date())

    form = ChooseDecantForm()

    assert list(form.fields["source"].queryset) == [bulk, working]
    assert list(form.fields["target"].queryset) == [working]


def test_a_count_of_pieces_is_the_content_itself():
    a_filled_tub(7_000, a_material(kind="packaging", unit="piece"), code="X1", capacity=50_000)

    form = CountForm({"reading": "5", "reason": "not known"}, tub=tub_page("X1", now=MONDAY))

    assert form.is_valid()
    assert form.content() == {"gross_mg": None, "counted": 5_000, "reason": "not known"}


def test_a_delivery_of_tomorrow_is_refused():
    powder = a_material()
    today = date(2026, 10, 5)

    form = ReceiveForm(
        {"amount": "20", "received_on": "2026-10-06"}, material=powder, currency="GBP", today=today
    )

    assert form.errors == {"received_on": ["Tue 6 Oct has not come yet. Type a day up to today."]}
    assert "delivery" not in form.fields


def test_a_delivery_of_next_year_is_refused_with_its_year():
    form = ReceiveForm(
        {"amount": "20", "received_on": "2027-01-01"},
        material=a_material(),
        currency="GBP",
        today=date(2026, 10, 5),
    )

    assert form.errors == {"received_on": ["Fri 1 Jan 2027 has not come yet. Type a day up to today."]}


def test_a_tub_of_powder_needs_its_empty_weight_and_one_of_boxes_does_not():
    powder = TubFieldsForm({"role": "bulk", "capacity": "25"}, material=a_material())
    boxes = TubFieldsForm(
        {"role": "bulk", "capacity": "50"}, material=a_material(kind="packaging", unit="piece")
    )

    assert list(powder.errors) == ["tare"]
    assert boxes.is_valid()
    assert boxes.content()["tare_mg"] == 0
    assert [words for _, words in boxes.fields["role"].choices] == ["box", "working box"]
    assert [words for _, words in powder.fields["role"].choices] == ["bulk tub", "working tub"]
    assert boxes.content()["capacity"] == 50_000


@pytest.mark.parametrize(
    ("kind", "unit", "pack", "typed", "thousandths"),
    [
        ("powder", "g", None, "20", 20_000_000),
        ("powder", "g", 20_000_000, "20", 20_000_000),
        ("pigment", "g", None, "500", 500_000),
        ("pigment", "g", 500_000, "500", 500_000),
        ("sealer", "ml", 1_000_000, "1", 1_000_000),
        ("sealer", "ml", 250_000, "250", 250_000),
        ("packaging", "piece", None, "25", 25_000),
    ],
)
def test_a_delivery_is_typed_in_the_unit_of_its_pack(kind, unit, pack, typed, thousandths):
    one = a_material(kind=kind, unit=unit, pack_size=pack)
    fields = {"amount": typed, "received_on": "2026-10-05"}

    form = ReceiveForm(fields, material=one, currency="GBP", today=date(2026, 10, 5))

    assert form.is_valid()
    assert form.cleaned_data["amount"] == thousandths


def material_fields(**changed):
    return {"name": "Quick compound", "kind": "powder", "unit": "g", "slack_days": "1", **changed}


def test_a_material_is_kept_with_its_amounts_read_in_its_unit():
    supplier = a_supplier()
    form = MaterialForm(material_fields(safety_level="3 kg", pack_size="20 kg", supplier=supplier.pk))

    assert form.is_valid(), form.errors
    saved = form.save()

    assert (saved.safety_level, saved.pack_size, saved.supplier) == (3 * KG, 20 * KG, supplier)


def test_only_wax_has_a_density_when_melted():
    kept = {}
    for kind in ("wax", "powder"):
        form = MaterialForm(material_fields(kind=kind, melted_density_g_per_ml="0.8"))
        assert form.is_valid(), form.errors
        kept[kind] = form.cleaned_data["melted_density_g_per_ml"]

    assert kept == {"wax": 0.8, "powder": None}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": ""}, "name"),
        ({"safety_level": "3 litres"}, "safety_level"),
        ({"pack_size": "lots"}, "pack_size"),
        ({"density_g_per_ml": "-1"}, "density_g_per_ml"),
        ({"kind": "wax", "melted_density_g_per_ml": "0"}, "melted_density_g_per_ml"),
        ({"opened_life_days": "soon"}, "opened_life_days"),
        ({"kind": "gold"}, "kind"),
    ],
)
def test_a_nonsense_material_is_refused_beside_its_field(changed, field):
    form = MaterialForm(material_fields(**changed))

    assert not form.is_valid()
    assert list(form.errors) == [field]


def test_a_name_taken_is_refused():
    a_material(name="Quick compound")

    assert list(MaterialForm(material_fields()).errors) == ["name"]
    a_supplier(name="Mudlark Minerals")
    assert list(
        SupplierForm({"name": "Mudlark Minerals", "lead_working_days": "3"}, currency="GBP").errors
    ) == ["name"]


def test_the_unit_of_a_material_with_lots_stays_and_its_amounts_are_shown_with_it():
    tub = a_filled_tub(KG, a_material(safety_level=3 * KG, name="Quick compound"))

    shown = str(MaterialForm(instance=tub.material)["safety_level"])
    form = MaterialForm(material_fields(unit="piece"), instance=tub.material)

    assert 'value="3 kg"' in shown
    assert form.is_valid(), form.errors
    assert form.save().unit == "g"


def test_a_tub_is_corrected_but_not_to_hold_nothing():
    a_filled_tub(KG, code="B4")

    wrong = TubEditForm({"tare_mg": "1.2", "capacity": "0", "stands_at": ""}, instance=tub_to_change("B4"))
    right = TubEditForm({"tare_mg": "1.2", "capacity": "30", "stands_at": "x"}, instance=tub_to_change("B4"))

    assert list(wrong.errors) == ["capacity"]
    assert right.is_valid()
    assert (right.save().tare_mg, right.instance.capacity) == (1_200_000, 30 * KG)


def test_every_empty_choice_says_choose(signed_in, studio_open):
    material = a_material()
    addresses = [
        *(reverse(f"inventory:{page}") for page in ("decant", "count", "receive", "material-new")),
        reverse("inventory:material-change", args=[material.pk]),
        *(reverse(f"production:{page}-new") for page in ("compound", "colour", "article", "route")),
    ]

    for address in addresses:
        page = signed_in.get(address).content.decode()
        assert '<option value="" selected>choose</option>' in page
        assert "-----" not in page
