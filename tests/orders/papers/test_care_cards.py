"""Care cards, as the real PDF."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from inventory.models import Material
from orders.papers.card_words import candle_cautions
from orders.papers.care_cards import care_sheets
from tests.factories.orders import a_piece, an_order

pytestmark = pytest.mark.django_db
MM = 72 / 25.4


def pages(client, order, query=""):
    answer = client.get(f"/orders/order/{order.number}/care-cards/{query}")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    found = PdfReader(io.BytesIO(answer.content)).pages
    return [
        (
            tuple(round(float(side) / MM, 1) for side in (page.mediabox.width, page.mediabox.height)),
            " ".join(page.extract_text().split()),
        )
        for page in found
    ]


@pytest.fixture
def mixed(made):
    """A tray and a filled cup, ready."""
    order = an_order((made.tray, made.rust, 1), (made.cup, made.slate, 1))
    return order, a_piece(made.tray, made.rust), a_piece(made.cup, made.slate)


def test_four_cards_share_a_sheet_with_their_backs_on_the_next(signed_in, studio_open, mixed):
    order, tray, cup = mixed

    fronts, backs = pages(signed_in, order)

    assert fronts[0] == backs[0] == (210.0, 297.0)
    assert all(words in fronts[1] for words in ("Samphire Lane", "Ferry tray", "Rust", tray.mark, cup.mark))
    assert "Looking after it" in backs[1]
    assert "Wipe with a damp cloth." in backs[1]


def test_a_single_card_is_an_a6_page_each_side(signed_in, studio_open, mixed):
    """A6 is 105 x 148 mm by ISO 216:2007."""
    assert [size for size, _ in pages(signed_in, mixed[0], "?single")] == [(105.0, 148.0)] * 4


def test_only_a_filled_piece_has_the_candle_cautions(signed_in, studio_open, mixed):
    sides = [said for _, said in pages(signed_in, mixed[0], "?single")]

    with_cautions = ["Never leave a burning candle." in said for said in sides]
    assert sum(with_cautions) == 1
    back = sides[with_cautions.index(True)]
    assert all(caution.replace(" ", "") in back.replace(" ", "") for caution in candle_cautions(6))
    assert "Local fire rules and the advice of your fire service come first." in back
    assert "Container wax 62 g." in back


def test_hazard_wording_is_printed_as_it_is_kept(signed_in, studio_open, mixed):
    wording = "WARNING\nContains (R)-p-mentha-1,8-diene. May produce an allergic reaction. <EUH208>"
    Material.objects.filter(kind="wax").update(hazard_wording=wording)

    said = " ".join(text for _, text in pages(signed_in, mixed[0]))

    assert " ".join(wording.split()) in said


def test_without_wording_the_card_makes_none_up(signed_in, studio_open, mixed):
    Material.objects.filter(kind="wax").update(hazard_wording="")

    said = " ".join(text for _, text in pages(signed_in, mixed[0]))

    assert "Container wax 62 g." in said
    assert not any(word in said for word in ("WARNING", "allergic", "H317", "EUH208"))


def test_backs_stand_behind_their_fronts_when_the_sheet_is_turned():
    (sheet,) = care_sheets(["a", "b", "c"])  # type: ignore[list-item]

    assert sheet.fronts == ("a", "b", "c", None)
    assert sheet.backs == ("b", "a", None, "c")


def test_five_cards_need_two_sheets():
    assert len(care_sheets(list("abcde"))) == 2  # type: ignore[arg-type]
