"""Decanting on the page: done once, refused beside the field, what was typed kept."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Act
from tests.factories.inventory import (
    KG,
    a_filled_tub,
    a_material,
    a_post,
    a_tub,
    acts_done,
    held,
    ledger_size,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material(name="Quick compound")
    bulk = a_filled_tub(13_720_000, powder, code="B4", tare_mg=1_180_000)
    working = a_filled_tub(5_310_000, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG)
    return bulk, working


DECANT = "/stores/decant/?source=B4&target=Q2"
READINGS = {"before": "14.90", "after": "5.53", "lumps": "0.06"}


def test_a_decant_is_said_on_the_next_page_with_its_undo(signed_in: Client, tubs):
    bulk, working = tubs

    answer = signed_in.post(DECANT, a_post(**READINGS), follow=True)

    page = answer.content.decode()
    assert answer.redirect_chain[-1][0] == reverse("inventory:stores")
    assert "9.31 kg into Q2, 0.06 kg lumps to waste. B4 holds 4.35 kg." in page
    assert f"/undo/{Act.objects.latest('pk').pk}/" in page
    assert (held(bulk), held(working)) == (4_350_000, 14_620_000)


def test_undo_from_the_page_of_the_tub(signed_in: Client, tubs):
    bulk, _ = tubs
    signed_in.post(DECANT, a_post(**READINGS))
    act = Act.objects.latest("pk")

    page = signed_in.get(reverse("inventory:tub", args=["B4"])).content.decode()
    assert f'action="/undo/{act.pk}/"' in page
    came_from = {"referer": "http://testserver/stores/tubs/B4/"}
    answer = signed_in.post(f"/undo/{act.pk}/", a_post(), headers=came_from, follow=True)

    assert "Undone: 9.31 kg into Q2" in answer.content.decode()
    assert held(bulk) == 13_720_000


def test_a_second_tap_is_answered_like_the_first_and_counts_once(signed_in: Client, tubs):
    bulk, _ = tubs
    typed = a_post(**READINGS)

    signed_in.post(DECANT, typed)
    again = signed_in.post(DECANT, typed, follow=True)

    # The scale now shows less than before: only the kept answer makes the second tap harmless.
    assert "9.31 kg into Q2" in again.content.decode()
    assert held(bulk) == 4_350_000


def test_a_stale_page_with_other_readings_is_refused_with_them_kept(signed_in: Client, tubs):
    typed = a_post(**READINGS)
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
    ({**READINGS, "target_after": "14.62"}, "(near 15.48 kg) or leave it blank.", "target_after"),
    ({**READINGS, "before": "0.80"}, "is less than the empty tub (1.18 kg)", "before"),
    ({**READINGS, "after": "2"}, "Decant 9.69 kg at most", "after"),
    ({**READINGS, "lumps": "some"}, "is not an amount", "lumps"),
    ({"amount": "3 pcs"}, "3 pcs is a count, and a weight is wanted.", "amount"),
    ({"amount": "14"}, "B4 holds 13.72 kg, and 14.00 kg is asked for.", "amount"),
    ({}, "Nothing was typed", "before"),
]


@pytest.mark.parametrize(("typed", "sentence", "field"), REFUSED)
def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(
    signed_in: Client, tubs, typed, sentence, field
):
    before, sent = ledger_size(), a_post(**typed)

    answer = signed_in.post(DECANT, sent)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert f'id="id_{field}_error"' in page
    for text in typed.values():
        assert not text or text in page
    assert sent["request_key"] in page
    assert (ledger_size(), acts_done().count()) == (before, 0)


def test_the_same_tub_and_another_material_are_refused_on_the_page(signed_in: Client, tubs):
    a_filled_tub(KG, a_material(name="Slow plaster"), code="P1", role="working")

    same = signed_in.post("/stores/decant/?source=Q2&target=Q2", a_post(amount="1"))
    other = signed_in.post("/stores/decant/?source=B4&target=P1", a_post(amount="1"))

    assert "Q2 cannot be decanted into itself" in same.content.decode()
    assert "P1 is for Slow plaster, and B4 holds Quick compound." in other.content.decode()
    assert (same.status_code, other.status_code) == (422, 422)


def test_from_the_page_of_a_bulk_tub_it_goes_straight_to_the_readings(signed_in: Client, tubs):
    assert "/stores/decant/?source=B4" in signed_in.get("/stores/tubs/B4/").content.decode()

    straight = signed_in.get("/stores/decant/?source=B4")
    assert straight.url == "/stores/decant/?source=B4&target=Q2"

    a_tub(tubs[0].material, code="Q3", role="working")
    choice = signed_in.get("/stores/decant/?source=B4")
    assert (choice.status_code, choice.context["form"].errors) == (200, {})
    assert choice.context["form"]["source"].value() == "B4"


def test_a_retired_tub_cannot_be_decanted_into(signed_in: Client, tubs):
    a_tub(tubs[0].material, code="Q9", role="working", retired_on=date(2026, 10, 1))

    into = signed_in.post("/stores/decant/?source=B4&target=Q9", a_post(amount="1"), follow=True)

    assert "There is no tub Q9 in use" in into.content.decode()


def test_both_tubs_are_shown_before_and_after_and_nothing_is_kept(signed_in: Client, tubs):
    """The design's readings: 14.90 before, 5.53 after, 0.06 of lumps; 13.72 and 5.31 kg held before."""
    before = ledger_size()

    page = signed_in.post(DECANT, a_post(before="14.90", after="5.53", lumps="0.06", look="1"))

    words = page.content.decode()
    assert page.status_code == 200
    for figure in ("13.72 kg", "4.35 kg", "5.31 kg", "14.62 kg", "Nothing is kept yet."):
        assert figure in words
    assert 'value="14.90"' in words
    assert ledger_size() == before


def test_a_look_is_refused_like_the_decant_itself(signed_in: Client, tubs):
    page = signed_in.post(DECANT, a_post(amount="20", look="1"))

    assert page.status_code == 422
    assert "B4 holds 13.72 kg" in " ".join(page.context["form"].errors["amount"])


def test_the_tap_after_the_look_keeps_it(signed_in: Client, tubs):
    typed = a_post(amount="2")
    signed_in.post(DECANT, typed | {"look": "1"})

    signed_in.post(DECANT, typed)

    assert [held(tub) for tub in tubs] == [11_720_000, 7_310_000]
