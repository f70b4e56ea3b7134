"""The round of counting on its pages."""

from __future__ import annotations

import io

import pytest
from django.test import Client
from pypdf import PdfReader

from inventory.queries.rounds import open_round, round_page
from tests.factories.inventory import KG, a_filled_tub, a_material, a_post, held

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material(name="Quick compound")
    working = a_filled_tub(
        5 * KG, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG, stands_at="bench"
    )
    boxes = a_filled_tub(
        7_000, a_material(name="Post box", kind="packaging", unit="piece"), code="X1", capacity=50_000
    )
    return working, boxes


def read(client: Client, code: str, reading: str, **typed: str):
    return client.post(f"/stores/round/tubs/{code}/", a_post(reading=reading, **typed), follow=True)


def test_a_round_from_the_first_tub_to_the_posted_differences(signed_in: Client, tubs):
    begun = signed_in.post("/stores/round/begin/", a_post(), follow=True).content.decode()
    assert "0 of 2 tubs read" in begun
    assert "Read X1" in begun

    read(signed_in, "X1", "7")
    last = read(signed_in, "Q2", "5.76", reason="scale").content.decode()
    # 5.76 less the tub of 0.86 is 4.90.
    assert "1 tub differs" in last
    assert "-100 g" in last

    shown = round_page(open_round()).shown
    round_id = open_round().pk
    page = signed_in.post(
        "/stores/round/post/", a_post(round=str(round_id), shown=shown), follow=True
    ).content.decode()

    assert "2 tubs counted, 1 with a difference." in page
    assert held(tubs[0]) == 4_900_000


def test_another_person_goes_on_and_is_told_what_was_read(signed_in, signed_in_helper, tubs):
    signed_in.post("/stores/round/begin/", a_post())
    read(signed_in, "Q2", "5.86")

    page = signed_in_helper.get("/stores/round/tubs/Q2/").content.decode()
    assert "by owner: 5.00 kg. A new reading takes its place." in page
    # The page of before the reading does not know it.
    stale = read(signed_in_helper, "Q2", "5.00", instead_of="")

    assert "Q2 was read" in stale.content.decode()
    assert "Open it again to read it anew" in stale.content.decode()


def test_a_refused_reading_stands_beside_its_field(signed_in: Client, tubs):
    signed_in.post("/stores/round/begin/", a_post())

    answer = signed_in.post("/stores/round/tubs/Q2/", a_post(reading="0.80"))

    assert answer.status_code == 422
    assert "is less than the empty tub (0.86 kg)" in " ".join(answer.context["form"].errors["reading"])


def test_pages_of_a_round_that_is_none_lead_back_to_the_list(signed_in: Client, tubs):
    for answer in (
        signed_in.get("/stores/round/tubs/Q2/", follow=True),
        signed_in.get("/stores/round/tubs/ZZ9/", follow=True),
        signed_in.get("/stores/round/differences/", follow=True),
        signed_in.post("/stores/round/post/", a_post(round="7", shown=""), follow=True),
        signed_in.post("/stores/round/lay-down/", a_post(round="x"), follow=True),
    ):
        assert answer.redirect_chain[-1][0] == "/stores/round/"
        assert "Begin to count" in answer.content.decode()


def test_a_round_is_laid_down_without_posting(signed_in: Client, tubs):
    signed_in.post("/stores/round/begin/", a_post())
    read(signed_in, "Q2", "5.00")

    page = signed_in.post(
        "/stores/round/lay-down/", a_post(round=str(open_round().pk)), follow=True
    ).content.decode()

    assert "The round is laid down. Nothing was posted." in page
    assert held(tubs[0]) == 5 * KG


def test_the_sheet_has_every_tub_and_not_what_it_should_hold(signed_in: Client, tubs):
    answer = signed_in.get("/stores/round/sheet/")

    assert answer["Content-Type"] == "application/pdf"
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    assert all(words in text for words in ("Count sheet", "Q2", "X1", "860 g", "bench")), text
    assert "5.00 kg" not in text


def test_without_tubs_it_says_how_to_begin(signed_in: Client, db):
    assert "No tubs yet. Take in a delivery to begin." in signed_in.get("/stores/round/").content.decode()
