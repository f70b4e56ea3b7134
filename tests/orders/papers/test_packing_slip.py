"""The packing slip, as the real PDF."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from orders.operations.changing import call_off
from orders.operations.packing import tick_piece
from tests.factories.inventory import a_tap
from tests.factories.orders import a_market_day, a_piece, an_order
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db
MM = 72 / 25.4


def pdf(client, order, query=""):
    answer = client.get(f"/orders/order/{order.number}/packing-slip/{query}")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return PdfReader(io.BytesIO(answer.content))


def text(reader):
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def size_mm(page):
    return tuple(round(float(side) / MM, 1) for side in (page.mediabox.width, page.mediabox.height))


def test_it_has_the_address_the_marks_the_count_and_the_message(signed_in, studio_open, made):
    order, marks = packed(made, gift_message="For the new windowsill.")

    (page,) = text(pdf(signed_in, order))

    for words in (
        "Samphire Lane",
        order.number,
        "Sandpiper Low 3 Invented Row Nowhere-on-Mud ZZ0 0ZZ",
        "ordered Mon 5 Oct",
        "packed Mon 5 Oct",
        "2 Ferry tray Rust",
        "2 pieces, all here.",
        '"For the new windowsill."',
        "Something chipped, cracked or missing?",
    ):
        assert words in page
    assert all(mark in page for mark in marks)


@pytest.mark.parametrize(("query", "size"), [("", (148.0, 210.0)), ("?size=4x6", (101.6, 152.4))])
def test_it_has_the_size_that_was_asked_for(signed_in, studio_open, made, query, size):
    """A5 is 148 x 210 mm by ISO 216:2007; 4 x 6 in is 101.6 x 152.4 mm (25.4 mm to the inch)."""
    order, _ = packed(made)

    (page,) = pdf(signed_in, order, query).pages

    assert size_mm(page) == size


def test_no_price_is_on_it(signed_in, studio_open, made):
    order, _ = packed(made)

    for query in ("", "?size=4x6"):
        page = " ".join(text(pdf(signed_in, order, query)))
        assert not re.search(r"[£$€]|GBP|EUR|USD|\d+[.,]\d{2}\b", page)
        assert "price" not in page.lower()


def test_its_fonts_are_embedded_and_its_language_is_given(signed_in, studio_open, made):
    order, _ = packed(made)

    reader = pdf(signed_in, order)

    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        descendants = [one.get_object() for one in font.get("/DescendantFonts", [])] or [font]
        assert all("/FontFile" in str(one["/FontDescriptor"].get_object()) for one in descendants)
    assert str(reader.trailer["/Root"]["/Lang"]) == "en-GB"


def test_more_lines_than_a_page_takes_make_two_with_the_count_on_the_last(signed_in, studio_open, made):
    market = a_market_day((made.tray, made.rust, 40), on=made_day())
    for _ in range(40):
        piece = a_piece(made.tray, made.rust, offer=False)
    a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=market.pk, mark=piece.mark)
    for one in market.lines.get().assignments.exclude(piece=piece).select_related("piece"):
        tick_piece(**a_tap(), order_id=market.pk, mark=one.piece.mark)

    pages = text(pdf(signed_in, market, "?size=4x6"))

    assert len(pages) > 1
    assert f"page 1 of {len(pages)}" in pages[0]
    assert ["40 pieces, all here." in page for page in pages] == [False] * (len(pages) - 1) + [True]
    marks = set(market.lines.get().assignments.values_list("piece__mark", flat=True))
    assert all(mark in " ".join(pages) for mark in marks)


def test_a_part_parcel_says_what_follows(signed_in, studio_open, made):
    order, marks = packed(made, wanted=3, ticked=2)

    page = text(pdf(signed_in, order))[0]

    assert "2of3pieces.Thelastfollowslater." in page.replace(" ", "")


def test_of_an_order_called_off_nothing_is_said_to_follow(signed_in, studio_open, made):
    order, marks = packed(made, wanted=3, ticked=2)
    ship(order, marks, in_part=True)
    call_off(**a_tap(), order_id=order.pk)

    page = text(pdf(signed_in, order, "?parcel=1"))[0]

    assert "2 pieces, all here." in page
    assert "follow" not in page and "Still to come" not in page


def test_a_parcel_that_left_can_be_printed_again(signed_in, studio_open, made):
    order, marks = packed(made)
    ship(order, marks)

    assert all(mark in text(pdf(signed_in, order, "?parcel=1"))[0] for mark in marks)


def test_markup_in_a_message_is_printed_and_not_run(signed_in, studio_open, made):
    order, _ = packed(made, gift_message='<img src="file:///etc/passwd"> & <b>love</b>')

    assert '<img src="file:///etc/passwd"> & <b>love</b>' in text(pdf(signed_in, order))[0]


def test_an_order_that_is_not_there_has_no_slip(signed_in, studio_open):
    assert signed_in.get("/orders/order/77/packing-slip/").status_code == 404


def test_its_code_leads_to_the_order(made):
    """The QR code is read back by hand of its own writer's modules, and by a scanner in the browser tests."""
    import segno

    from orders.papers.codes import qr_of

    order = an_order((made.tray, made.rust, 1), number="SL 12")
    expected = segno.make("https://studio.example/o/SL%2012", error="m", micro=False)

    drawn = qr_of("https://studio.example/", "o", order.number)

    assert drawn == expected.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None)


def made_day():
    from datetime import timedelta

    from tests.factories.orders import TODAY

    return TODAY + timedelta(days=5)
