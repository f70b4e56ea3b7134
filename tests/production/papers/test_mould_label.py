"""The label of a mould copy."""

from __future__ import annotations

from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from production.papers.mould_label import label_of
from tests.factories.production import a_mould
from tests.services.qr_reader import read_qr

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


@pytest.fixture
def copy():
    return a_mould(copies=3, name="Ferry tray", volume_ul=238_000).copies.get(number=3)


def test_it_says_which_mould_and_copy_how_much_it_holds_and_how_long_it_dries(signed_in, copy):
    paper = PdfReader(BytesIO(signed_in.get(reverse("production:copy-label", args=[copy.pk])).content))

    text = " ".join(paper.pages[0].extract_text().split())
    assert len(paper.pages) == 1
    assert "Ferry tray" in text and "Holds 238.0 mL" in text and "Clean and dry 2 h after" in text
    # 62 by 100 mm in points of 1/72 inch
    assert [round(float(side) / 72 * 25.4) for side in paper.pages[0].mediabox[2:]] == [62, 100]


def test_its_code_read_back_opens_the_page_of_the_mould(signed_in, copy):
    address = read_qr(label_of(copy, site_address="http://10.0.0.7:8000")["qr"])

    assert address == f"http://10.0.0.7:8000/m/{copy.pk}"
    assert signed_in.get(f"/m/{copy.pk}").url == reverse("production:mould", args=[copy.mould_id])
