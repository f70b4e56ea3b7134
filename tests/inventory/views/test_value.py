"""The page of what the stores are worth: figures, files, and who may see them."""

from __future__ import annotations

import csv
import io
import re
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import SupplierPack
from inventory.operations.decanting import decant
from inventory.operations.ledger import Move, draw_from, outside, post
from inventory.operations.spilling import note_spill
from tests.factories.inventory import KG, a_lot, a_material, a_supplier, a_tap, a_tub, in_an_act

pytestmark = pytest.mark.django_db
ADDRESS = "/stores/value/"


@pytest.fixture
def used(studio_open):
    """A 25 kg tub of 20 kg for 32.00, decanted twice, with lumps the second time; used, and spilled from."""
    now = datetime.now(UTC)
    powder = a_material(name="Quick compound")
    bulk = a_tub(powder, code="B4", capacity=25 * KG)
    working = a_tub(powder, code="Q2", role="working")
    with in_an_act(happened_at=now - timedelta(hours=3), now=now) as tap:
        lot = a_lot(powder, 20 * KG, price_minor=32_00, code="L1-P")
        post(tap, "receipt", [Move(lot.pk, outside("supplier").pk, bulk.place_id, 20 * KG)])
    for lumps in (0, 400_000):
        decant(source_id=bulk.pk, target_id=working.pk, amount=5 * KG - lumps, lumps=lumps, **a_tap(now=now))
    with in_an_act(happened_at=now, now=now) as tap:
        draw_from(tap, working.pk, 2 * KG, "mix")
    note_spill(container_id=working.pk, amount=KG, **a_tap(now=now))
    return powder


def page(client: Client, address: str = ADDRESS) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", answer.content.decode())


def rows_of(client: Client, address: str) -> list[list[str]]:
    answer = client.get(address)
    assert answer["Content-Type"].startswith("text/csv")
    assert "attachment" in answer["Content-Disposition"]
    return list(csv.reader(io.StringIO(b"".join(answer.streaming_content).decode(), newline="")))


def test_it_says_what_stands_in_the_tubs_and_what_went(signed_in: Client, used):
    """Worked here: 20 kg for 32.00 less 2 kg used, 1 kg spilled, 0.4 kg lumps leave 16.6 kg, 26.56."""
    seen = page(signed_in)

    assert "26.56 GBP stands in the tubs" in seen
    for figure in ("3.20 GBP", "1.60 GBP", "0.64 GBP", "5.44 GBP", "16.60 kg"):
        assert figure in seen, figure


def test_the_pictures_say_their_figures(signed_in: Client, used):
    said = re.findall(r'aria-label="([^"]*)"', page(signed_in))

    month = f"{datetime.now(UTC):%b}"
    assert any(words.startswith("Used by month: ") and f"{month} 3.20 GBP" in words for words in said)
    assert any(words.startswith("Lost by month: ") and f"{month} 2.24 GBP" in words for words in said)
    assert any(
        words == "Lumps of Quick compound by the age of the opened tub: day 0 to 14 4.0 % of what came out."
        for words in said
    )


def test_it_answers_whether_the_big_tub_is_cheaper_with_both_figures(signed_in: Client, used):
    assert "Only 25 kg tubs so far: 1.60 GBP a kg as bought, 1.67 GBP a kg used, 4.0 % lumps." in page(
        signed_in
    )

    pack = SupplierPack.objects.create(supplier=a_supplier(), material=used, amount=5 * KG, price_minor=9_50)
    assert (
        "The 25 kg tub is cheaper: 1.67 GBP a kg used, 4.0 % of it went as lumps. The 5 kg one: 1.90 GBP a"
        " kg, none of it opened here yet." in page(signed_in)
    )

    SupplierPack.objects.filter(pk=pack.pk).update(price_minor=8_00)
    assert "The 25 kg tub is dearer: 1.67 GBP a kg used" in page(signed_in)


def test_months_and_lots_come_as_files_with_bare_figures(signed_in: Client, used):
    months = rows_of(signed_in, ADDRESS + "?csv=months")
    lots = rows_of(signed_in, ADDRESS + "?csv=lots")

    month = f"{datetime.now(UTC):%Y-%m}"
    assert months[0] == ["Month", "Material", "Reason", "Amount", "Unit", "Cost", "Currency"]
    assert [month, "Quick compound", "mixes", "2000", "g", "3.2", "GBP"] in months
    assert [month, "Quick compound", "lumps", "400", "g", "0.64", "GBP"] in months
    assert lots[1][:2] == ["Quick compound", "L1-P"]
    assert lots[1][4:] == ["20000", "16600", "16600", "g", "32.0", "26.56", "GBP"]


def test_a_helper_sees_no_prices(signed_in_helper: Client, signed_in: Client, used):
    assert signed_in_helper.get(ADDRESS).status_code == 403
    assert signed_in_helper.get(ADDRESS + "?csv=lots").status_code == 403
    for address in (
        reverse("inventory:lot", args=["L1-P"]),
        reverse("inventory:list", args=["lots"]),
        reverse("inventory:list", args=["lots"]) + "?csv=1",
        reverse("inventory:stores"),
    ):
        answers = {}
        for who, client in (("helper", signed_in_helper), ("owner", signed_in)):
            answer = client.get(address)
            streamed = answer.streaming_content if answer.streaming else [answer.content]
            answers[who] = b"".join(streamed).decode()
        assert "32.00" not in answers["helper"], address
        assert ADDRESS not in answers["helper"], address
        if "lot" in address:
            assert "32.00" in answers["owner"], address


def test_earlier_months_are_a_tap_away_and_nonsense_is_this_month(signed_in: Client, used):
    earlier = re.search(r'href="\?until=([\d-]+)">Earlier', page(signed_in))
    assert earlier
    seen = page(signed_in, f"{ADDRESS}?until={earlier[1]}")

    assert "Nothing was used or lost in these months." in seen
    assert ">Later</a>" in seen
    for nonsense in ("x", "2026-13", "9999-01", "0001-01", "2026-01-01"):
        assert "3.20 GBP" in page(signed_in, f"{ADDRESS}?until={nonsense}"), nonsense


def test_empty_stores_say_how_to_begin(signed_in: Client, studio_open):
    assert "No deliveries yet. Take one in with its price to begin." in page(signed_in)
