"""Taking in from a file, on the pages."""

from __future__ import annotations

import html
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from inventory.models import Container, Lot
from tests.factories.inventory import a_post

pytestmark = pytest.mark.django_db

FILE = (
    "Material;Kind;Unit;Amount;Tub;Price\n"
    "Quick compound;powder;g;13,72 kg;B4;40,00\n"
    "Rust oxide;pigment;g;lots;;\n"
    '"<b>Fog</b>";pigment;g;500 g;;\n'
)


def read(client: Client, content: bytes | str = FILE):
    content = content.encode() if isinstance(content, str) else content
    return client.post(reverse("inventory:opening"), {"file": SimpleUploadedFile("tubs.csv", content)})


def sent(page: str) -> dict[str, str]:
    """What the form of the preview would send, every row ticked."""
    fields = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page))
    fields["text"] = re.search(r'<textarea name="text"[^>]*>\n(.*?)</textarea>', page, re.S)[1]
    return {name: html.unescape(value) for name, value in fields.items()}


def test_a_file_is_read_shown_and_the_ticked_rows_are_kept(signed_in: Client):
    page = read(signed_in).content.decode()
    assert "tubs.csv: 2 new rows, 1 to mend" in page
    assert "is not an amount" in page
    assert "&lt;b&gt;Fog&lt;/b&gt;" in page
    assert not Lot.objects.exists()

    answer = signed_in.post(
        reverse("inventory:opening-keep"), a_post(**{**sent(page), "row": ["1"]}), follow=True
    )

    assert "tubs.csv: 1 row taken in, 1 new material." in answer.content.decode()
    assert Container.objects.get().code == "B4"
    assert Lot.objects.get().price_minor == 4000


def test_nothing_ticked_is_refused_and_the_page_stands(signed_in: Client):
    page = read(signed_in).content.decode()

    answer = signed_in.post(reverse("inventory:opening-keep"), a_post(**sent(page)))

    assert answer.status_code == 422
    assert "2 new rows" in answer.content.decode()
    assert not Lot.objects.exists()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "The file is empty"),
        (b"\x00\x01\x02", "not text"),
        (b"Material;Amount\n", "nothing under it"),
        (b"Thing;Much\na;b\n", "No column is headed Material"),
        (b"Material,Amount\n" + b"x" * 300_000, "300 kB are read at once"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_beside_its_field(signed_in: Client, content, sentence):
    answer = read(signed_in, content)

    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors["file"])


def test_it_is_the_owners(signed_in_helper: Client):
    assert read(signed_in_helper).status_code == 403


def test_a_page_without_its_file_leads_back(signed_in: Client):
    answer = signed_in.post(reverse("inventory:opening-keep"), a_post(row="1"), follow=True)

    assert "Take in what is there from a file" in answer.content.decode()
