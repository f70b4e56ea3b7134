"""Papers as readers of others see them: pypdf for structure, poppler for the page, zxing for its code."""

from __future__ import annotations

import io
import re
import subprocess

import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from shopfloor.studio.models import StudioSettings
from tests.orders.operations.test_shipping import packed
from tests.services.programs import need_program

pytestmark = pytest.mark.django_db
MM = 72 / 25.4


def slip(client, order, query=""):
    answer = client.get(f"/orders/order/{order.number}/packing-slip/{query}")
    assert answer.status_code == 200, answer.content[-400:]
    return answer.content


def cards(client, order, query=""):
    return client.get(f"/orders/order/{order.number}/care-cards/{query}").content


def pictures(pdf: bytes, folder) -> list[Image.Image]:
    """Every page as poppler draws it, at 200 dots to the inch."""
    (folder / "paper.pdf").write_bytes(pdf)
    subprocess.run(
        [need_program("pdftoppm"), "-r", "200", "-png", folder / "paper.pdf", folder / "page"], check=True
    )
    return [Image.open(path) for path in sorted(folder.glob("page*.png"))]


def codes(pdf: bytes, folder) -> set[str]:
    return {code.text for page in pictures(pdf, folder) for code in zxingcpp.read_barcodes(page)}


def unembedded(reader: PdfReader) -> list[str]:
    found = []
    for page in reader.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            for one in font.get_object().get("/DescendantFonts", [font]):
                about = one.get_object()["/FontDescriptor"].get_object()
                if not any(key.startswith("/FontFile") for key in about):
                    found.append(str(font.get_object()["/BaseFont"]))
    return found


def figures(reader: PdfReader) -> list[dict]:
    """Figures of the tag tree, as whoever hears the page meets them."""
    waiting, found = [reader.trailer["/Root"]["/StructTreeRoot"]], []
    while waiting:
        one = waiting.pop().get_object()
        if isinstance(one, list):
            waiting += one
        elif isinstance(one, dict):
            found += [one] if one.get("/S") == "/Figure" else []
            waiting += [one["/K"]] if "/K" in one else []
    return found


@pytest.mark.parametrize("paper", [slip, cards])
def test_every_figure_says_what_it_is_and_the_file_tells_of_itself_unpacked(
    signed_in, studio_open, made, paper
):
    """Source: ISO 14289-1:2014, 7.3 (alternative text of figures); decoration is no figure."""
    order, _ = packed(made)

    pdf = paper(signed_in, order)

    reader = PdfReader(io.BytesIO(pdf))
    assert all(one.get("/Alt") for one in figures(reader))
    assert any("Code to" in str(one["/Alt"]) for one in figures(reader))
    assert b"pdfuaid:part" in pdf


def test_every_sign_of_a_name_in_joined_letters_stands_for_something(signed_in, studio_open, made):
    """Source: ISO 14289-1:2014, 7.21.7 (every code of a font leads to a sign)."""
    order, _ = packed(made, customer="محمد بن عبد الله الطائر")

    reader = PdfReader(io.BytesIO(slip(signed_in, order)))

    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    maps = [font["/ToUnicode"].get_object().get_data() for font in fonts if "/ToUnicode" in font]
    assert len(maps) == len(fonts) > 0
    assert not any(b"<>" in one for one in maps)


def test_a_slip_is_tagged_titled_and_says_that_it_keeps_to_pdf_ua(signed_in, studio_open, made):
    """Source: ISO 14289-1:2014, rules on MarkInfo, StructTreeRoot, Lang, title and the identification schema,
    as listed in open rule lists of the Matterhorn Protocol. A structural look, no proof of conformance."""
    order, _ = packed(made)

    reader = PdfReader(io.BytesIO(slip(signed_in, order)))

    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert str(root["/Lang"]) == "en-GB"
    metadata = root["/Metadata"].get_object().get_data().decode()
    assert re.search(r"pdfuaid:part(>|=\")1", metadata)
    assert f"Packing slip {order.number}" in metadata
    assert not unembedded(reader)
    assert not reader.is_encrypted


def test_asked_for_it_is_made_for_keeping(signed_in, studio_open, made):
    """Source: ISO 19005-3 (PDF/A-3, level A): identification, an output intent, fonts embedded."""
    order, _ = packed(made)

    reader = PdfReader(io.BytesIO(slip(signed_in, order, "?as=pdf-a")))

    root = reader.trailer["/Root"]
    metadata = root["/Metadata"].get_object().get_data().decode()
    assert re.search(r"pdfaid:part(>|=\")3", metadata)
    assert re.search(r"pdfaid:conformance(>|=\")A", metadata)
    assert not unembedded(reader)


@pytest.mark.parametrize(
    ("size", "expected"),
    [("a5", (148, 210)), ("l46", (101.6, 152.4)), ("a4", (210, 297)), ("letter", (215.9, 279.4))],
)
def test_pages_have_the_size_the_studio_chose(signed_in, studio_open, made, size, expected):
    """Source: ISO 216:2007 for A4 and A5; 25.4 mm to the inch for the others."""
    StudioSettings.objects.update_or_create(pk=1, defaults={"slip_size": size})
    order, _ = packed(made)

    (page,) = PdfReader(io.BytesIO(slip(signed_in, order))).pages

    assert [float(side) / MM for side in page.mediabox[2:]] == pytest.approx(expected, abs=0.1)


def test_care_cards_are_a6_and_on_letter_where_the_studio_prints_on_that(signed_in, studio_open, made):
    """Source: ISO 216:2007, A6 105 x 148 mm; A4 210 x 297 mm."""
    order, _ = packed(made)

    def size(query=""):
        box = PdfReader(io.BytesIO(cards(signed_in, order, query))).pages[0].mediabox
        return [round(float(side) / MM, 1) for side in box[2:]]

    assert (size("?single"), size()) == ([105.0, 148.0], [210.0, 297.0])
    StudioSettings.objects.update_or_create(pk=1, defaults={"sheet_size": "letter"})
    assert size() == [215.9, 279.4]


def test_its_codes_are_read_back_by_another_reader(signed_in, studio_open, made, tmp_path, settings):
    """Source: ISO/IEC 18004 codes read by zxing from the page as poppler draws it."""
    order, marks = packed(made)
    at = settings.SITE_ADDRESS.rstrip("/")

    assert codes(slip(signed_in, order, "?size=4x6"), tmp_path) == {f"{at}/o/{order.number}"}
    (tmp_path / "cards").mkdir()
    found = codes(cards(signed_in, order), tmp_path / "cards")
    assert found == {f"{at}/p/{mark}" for mark in marks}


def test_names_and_addresses_of_other_scripts_are_printed_and_read_back(signed_in, studio_open, made):
    name = "نورة الرملي"
    order, _ = packed(
        made,
        customer=name,
        address="שדרות 5\nΟδός 3\nŁódź\nNhà số 7, Đường Cát\n3 Invented Row\nLeeds LS1 1AA",
    )

    reader = PdfReader(io.BytesIO(slip(signed_in, order)))

    fonts = {
        str(font.get_object()["/BaseFont"]).split("+")[-1]
        for font in reader.pages[0]["/Resources"]["/Font"].values()
    }
    assert {"Paper-Arabic", "Paper-Hebrew", "Paper-Greek", "Archivo-Studio-Latin"} <= fonts
    assert not unembedded(reader)
    page = reader.pages[0].extract_text()
    assert "Łódź" in page and "LEEDS" in page and "LS1 1AA" in page
    assert sorted(sign for sign in page if sign in set(name) - {" "})


def test_a_sign_that_no_font_has_is_said_instead_of_a_box(signed_in, studio_open, made, monkeypatch):
    order, _ = packed(made, customer="Dunlin \ua015 Spit")
    monkeypatch.setenv("PATH", "")
    from shopfloor.studio import signs

    signs._is_there.cache_clear()

    answer = signed_in.get(f"/orders/order/{order.number}/packing-slip/")
    without = PdfReader(io.BytesIO(slip(signed_in, order, "?without=1")))
    page = signed_in.get(f"/orders/order/{order.number}/packing-slip/?as=page").content.decode()
    signs._is_there.cache_clear()

    assert answer.status_code == 422
    assert "No font on this machine has the sign" in answer.content.decode()
    assert "Dunlin" in without.pages[0].extract_text()
    assert "Dunlin \ua015 Spit" in page and "Print from the browser" in page and "apt-get" not in page


def test_printed_twice_it_is_the_same_and_nothing_changed(signed_in, studio_open, made):
    from orders.models import Parcel

    order, _ = packed(made)
    before = list(Parcel.objects.values())

    first, second = (PdfReader(io.BytesIO(slip(signed_in, order))) for _ in range(2))

    assert first.pages[0].extract_text() == second.pages[0].extract_text()
    assert list(Parcel.objects.values()) == before
