"""Acting on the pages of the stores: done once, refused beside the field, what was typed kept."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from inventory.answers import new_request_key
from inventory.models import Act, Container, Delivery, Lot, Material, Supplier
from tests.factories.inventory import KG, a_filled_tub, a_material, a_supplier, a_tub, held, ledger_size

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material(name="Quick compound")
    bulk = a_filled_tub(13_720_000, powder, code="B4", tare_mg=1_180_000)
    working = a_filled_tub(5_310_000, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG)
    return bulk, working


DECANT = "/stores/decant/?source=B4&target=Q2"
COUNT = "/stores/count/?tub=Q2"
SPILL = "/stores/spill/?tub=Q2"


def tap(**typed):
    return {"request_key": new_request_key(), **typed}


READINGS = {"before": "14.90", "after": "5.53", "lumps": "0.06"}


def test_a_decant_is_said_on_the_next_page_with_its_undo(signed_in: Client, tubs):
    bulk, working = tubs

    answer = signed_in.post(DECANT, tap(**READINGS), follow=True)

    page = answer.content.decode()
    assert answer.redirect_chain[-1][0] == reverse("inventory:stores")
    assert "9.31 kg into Q2, 0.06 kg lumps to waste. B4 holds 4.35 kg." in page
    assert f"/undo/{Act.objects.latest('pk').pk}/" in page
    assert (held(bulk), held(working)) == (4_350_000, 14_620_000)


def test_undo_from_the_page_of_the_tub(signed_in: Client, tubs):
    bulk, _ = tubs
    signed_in.post(DECANT, tap(**READINGS))
    act = Act.objects.latest("pk")

    page = signed_in.get(reverse("inventory:tub", args=["B4"])).content.decode()
    assert f'action="/undo/{act.pk}/"' in page
    came_from = {"referer": "http://testserver/stores/tubs/B4/"}
    answer = signed_in.post(f"/undo/{act.pk}/", tap(), headers=came_from, follow=True)

    assert "Undone: 9.31 kg into Q2" in answer.content.decode()
    assert held(bulk) == 13_720_000


def test_a_second_tap_is_answered_like_the_first_and_counts_once(signed_in: Client, tubs):
    bulk, _ = tubs
    typed = tap(**READINGS)

    signed_in.post(DECANT, typed)
    again = signed_in.post(DECANT, typed, follow=True)

    # The scale now shows less than before: only the kept answer makes the second tap harmless.
    assert "9.31 kg into Q2" in again.content.decode()
    assert held(bulk) == 4_350_000


def test_a_stale_page_with_other_readings_is_refused_with_them_kept(signed_in: Client, tubs):
    typed = tap(**READINGS)
    signed_in.post(DECANT, typed)

    answer = signed_in.post(DECANT, {**typed, "lumps": "0.01"})

    assert answer.status_code == 422
    assert "answered before with other entries" in answer.content.decode()
    assert 'value="0.01"' in answer.content.decode()


def test_a_page_without_a_request_key_is_refused_in_words(signed_in: Client, tubs):
    answer = signed_in.post(DECANT, READINGS)

    assert answer.status_code == 422
    assert "This page is too old to answer." in answer.content.decode()


REFUSED = [
    (DECANT, {**READINGS, "target_after": "14.62"}, "(near 15.48 kg) or leave it blank.", "target_after"),
    (DECANT, {**READINGS, "before": "0.80"}, "is less than the empty tub (1.18 kg)", "before"),
    (DECANT, {**READINGS, "after": "2"}, "Decant 9.69 kg at most", "after"),
    (DECANT, {**READINGS, "lumps": "some"}, "is not an amount", "lumps"),
    (DECANT, {"amount": "14"}, "B4 holds 13.72 kg, and 14.00 kg is asked for.", "amount"),
    (DECANT, {}, "Nothing was typed", "before"),
    (COUNT, {"reading": "0.80"}, "is less than the empty tub (0.86 kg)", "reading"),
    (COUNT, {"reading": "17"}, "Is something else on the scale?", "reading"),
    (COUNT, {"reading": "6.10"}, "0.07 kg less. Choose why.", "reason"),
    (COUNT, {"reading": "heavy"}, "is not an amount", "reading"),
    (COUNT, {"reading": ""}, "This field is required", "reading"),
    (SPILL, {"amount": "9", "reason": "spill"}, "Q2 holds 5.31 kg, and 9.00 kg is asked for.", "amount"),
    (SPILL, {"amount": "9", "reason": "spill"}, "More is in B4 (13.72 kg).", "amount"),
    (SPILL, {"amount": "0", "reason": "spill"}, "Nothing was lost", "amount"),
]


@pytest.mark.parametrize(("address", "typed", "sentence", "field"), REFUSED)
def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(
    signed_in: Client, tubs, address, typed, sentence, field
):
    before, sent = ledger_size(), tap(**typed)

    answer = signed_in.post(address, sent)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert f'id="id_{field}_error"' in page
    for text in typed.values():
        assert not text or text in page
    assert sent["request_key"] in page
    assert (ledger_size(), Act.objects.count()) == (before, 0)


def test_the_same_tub_and_another_material_are_refused_on_the_page(signed_in: Client, tubs):
    a_filled_tub(KG, a_material(name="Slow plaster"), code="P1", role="working")

    same = signed_in.post("/stores/decant/?source=Q2&target=Q2", tap(amount="1"))
    other = signed_in.post("/stores/decant/?source=B4&target=P1", tap(amount="1"))

    assert "Q2 cannot be decanted into itself" in same.content.decode()
    assert "P1 is for Slow plaster, and B4 holds Quick compound." in other.content.decode()
    assert (same.status_code, other.status_code) == (422, 422)


def test_a_retired_tub_cannot_be_counted_or_decanted_into(signed_in: Client, tubs):
    a_tub(tubs[0].material, code="Q9", role="working", retired_on=date(2026, 10, 1))

    count = signed_in.post("/stores/count/?tub=Q9", tap(reading="2"))
    into = signed_in.post("/stores/decant/?source=B4&target=Q9", tap(amount="1"), follow=True)

    assert "Q9 is retired since 1 Oct 2026" in count.content.decode()
    assert "There is no tub Q9 in use" in into.content.decode()


def test_a_count_with_its_reason_is_kept(signed_in: Client, tubs):
    answer = signed_in.post(COUNT, tap(reading="6.10", reason="not known"), follow=True)

    assert "Q2 holds 5.24 kg, 0.07 kg less than it should (not known)." in answer.content.decode()
    assert held(tubs[1]) == 5_240_000


def receive_address(material) -> str:
    return reverse("inventory:receive") + f"?material={material.pk}"


def test_a_delivery_into_a_new_tub(signed_in: Client, studio_open):
    powder = a_material(name="Quick compound", supplier=a_supplier())
    typed = tap(
        amount="20",
        received_on="2026-10-05",
        price="42.00",
        supplier_lot="QC-2610",
        **{"tub-role": "bulk", "tub-tare": "1.18", "tub-capacity": "25"},
    )

    answer = signed_in.post(receive_address(powder), typed, follow=True)

    made = Container.objects.get()
    assert answer.redirect_chain[-1][0] == reverse("inventory:tub", args=[made.code])
    assert (made.tare_mg, held(made), Lot.objects.get().price_minor) == (1_180_000, 20 * KG, 4200)


def test_a_delivery_into_a_tub_that_is_there_and_of_an_order(signed_in: Client, tubs):
    bulk, _ = tubs
    signed_in.post(
        reverse("inventory:expect") + f"?material={bulk.material_id}",
        tap(amount="12", ordered_on="2026-10-01", expected_on="2026-10-09"),
    )
    order = Delivery.objects.get()

    signed_in.post(
        receive_address(bulk.material),
        tap(
            amount="10",
            container="B4",
            received_on="2026-10-05",
            delivery=order.pk,
            rest_expected_on="2026-10-12",
        )
        | {"container": bulk.pk},
    )

    assert held(bulk) == 23_720_000
    assert [delivery.amount for delivery in Delivery.objects.filter(received_lot__isnull=True)] == [2 * KG]


def test_a_delivery_that_does_not_fit_or_makes_no_sense_keeps_what_was_typed(signed_in: Client, tubs):
    bulk, _ = tubs
    before = ledger_size()

    for typed, sentence in [
        ({"amount": "20", "container": bulk.pk, "received_on": "2026-10-05"}, "has room for 11.28 kg"),
        ({"amount": "20", "received_on": "2026-10-05", "tub-role": "bulk"}, "This field is required"),
        (
            {
                "amount": "2",
                "received_on": "2026-10-05",
                "tub-role": "bulk",
                "tub-tare": "1",
                "tub-capacity": "25",
                "tub-code": "B4",
            },
            "There is a tub B4 already. Choose another code.",
        ),
        ({"amount": "lots", "container": bulk.pk, "received_on": "2026-10-05"}, "is not an amount"),
        ({"amount": "1", "container": bulk.pk, "received_on": "2999-01-01"}, "has not come yet"),
        ({"amount": "1", "container": bulk.pk, "received_on": "soon"}, "Enter a valid date"),
    ]:
        answer = signed_in.post(receive_address(bulk.material), tap(**typed))
        assert answer.status_code == 422, sentence
        assert sentence in answer.content.decode()
        assert f'value="{typed["amount"]}"' in answer.content.decode()
    assert (ledger_size(), Container.objects.count()) == (before, 2)


def test_an_order_due_before_it_was_placed_is_refused(signed_in: Client):
    powder = a_material()

    answer = signed_in.post(
        reverse("inventory:expect") + f"?material={powder.pk}",
        tap(amount="12", ordered_on="2026-10-09", expected_on="2026-10-01"),
    )

    assert answer.status_code == 422
    assert "is before the day it was ordered" in answer.content.decode()


def test_a_material_is_added_and_changed(signed_in: Client):
    fields = {
        "name": "Quick compound",
        "kind": "powder",
        "unit": "g",
        "slack_days": "1",
        "safety_level": "3 kg",
    }

    added = signed_in.post(reverse("inventory:material-new"), tap(**fields), follow=True)
    material = Material.objects.get()
    assert "Quick compound added." in added.content.decode()

    changed = signed_in.post(
        reverse("inventory:material-change", args=[material.pk]),
        tap(**fields | {"safety_level": "4 kg"}),
        follow=True,
    )
    material.refresh_from_db()
    assert "Quick compound changed." in changed.content.decode()
    assert material.safety_level == 4 * KG

    refused = signed_in.post(reverse("inventory:material-new"), tap(**fields))
    assert refused.status_code == 422
    assert Material.objects.count() == 1


def test_a_supplier_is_added(signed_in: Client):
    signed_in.post(reverse("inventory:supplier-new"), tap(name="Mudlark Minerals", lead_working_days="4"))

    assert Supplier.objects.get().lead_working_days == 4


def test_a_tub_is_added_changed_marked_and_retired(signed_in: Client):
    powder = a_material()
    signed_in.post(
        reverse("inventory:tub-make", args=[powder.pk]),
        tap(role="working", code="q2", tare="0.86", capacity="15", stands_at="by the scale"),
    )
    tub = Container.objects.get()
    assert (tub.code, tub.stands_at) == ("Q2", "by the scale")

    taken = signed_in.post(
        reverse("inventory:tub-make", args=[powder.pk]),
        tap(role="working", code="Q2", tare="1", capacity="15"),
    )
    assert "There is a tub Q2 already." in taken.content.decode()

    signed_in.post(
        reverse("inventory:tub-change", args=["Q2"]), tap(tare_mg="0.9", capacity="15", stands_at="")
    )
    signed_in.post(reverse("inventory:tub-lumps", args=["Q2"]), tap(lumpy="yes"))
    tub.refresh_from_db()
    assert (tub.tare_mg, tub.is_lumpy) == (900_000, True)
    signed_in.post(reverse("inventory:tub-lumps", args=["Q2"]), tap())
    signed_in.post(reverse("inventory:tub-retire", args=["Q2"]), tap())
    tub.refresh_from_db()
    assert (tub.is_lumpy, tub.retired_on is not None) == (False, True)


def test_a_tub_with_powder_is_not_retired_and_says_why(signed_in: Client, tubs):
    answer = signed_in.post(reverse("inventory:tub-retire", args=["Q2"]), tap(), follow=True)

    assert "Q2 still holds 5.31 kg." in answer.content.decode()


def test_a_helper_cannot_retire_a_tub_or_change_a_material(signed_in_helper: Client, tubs):
    bulk, _ = tubs

    assert signed_in_helper.post(reverse("inventory:tub-retire", args=["Q2"]), tap()).status_code == 403
    address = reverse("inventory:material-change", args=[bulk.material_id])
    assert signed_in_helper.post(address, tap(name="x")).status_code == 403


def test_what_changes_something_is_never_done_by_following_a_link(signed_in: Client, tubs):
    assert signed_in.get(reverse("inventory:tub-retire", args=["Q2"])).status_code == 405
    assert signed_in.get(reverse("inventory:tub-lumps", args=["Q2"])).status_code == 405
