"""The label of a tub."""

from __future__ import annotations

import pytest

from inventory.papers.tub_label import label_of
from inventory.queries.containers import tub_page
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material
from tests.services.qr_reader import read_qr

pytestmark = pytest.mark.django_db


def test_says_what_is_on_the_tub_in_the_studios_numbers():
    a_filled_tub(KG, a_material(), code="Q2", tare_mg=860_000, capacity=15 * KG, role="working")

    label = label_of(tub_page("Q2", now=MONDAY), site_address="http://studio.example")

    assert (label["empty"], label["full"]) == ("0.86 kg", "15 kg")
    assert label["caution"].startswith("Mask on.")
    assert label["qr"].startswith("<svg")


@pytest.mark.parametrize(
    "site", ["http://10.0.0.7", "http://10.0.0.7:8000", "https://studio.example.net:8443"]
)
def test_its_code_read_back_opens_the_page_of_the_tub(signed_in, studio_open, site):
    """At three lengths of address: versions 2 and 3 of the code."""
    a_filled_tub(KG, a_material(), code="Q2")
    label = label_of(tub_page("Q2", now=MONDAY), site_address=site)

    address = read_qr(label["qr"])

    assert address == f"{site}/t/Q2"
    opened = signed_in.get(address.removeprefix(site), follow=True)
    assert opened.status_code == 200
    assert opened.request["PATH_INFO"] == "/stores/tubs/Q2/"


def test_what_is_not_dusty_wants_no_mask_and_what_is_not_weighed_has_no_empty_weight():
    a_filled_tub(KG, a_material(kind="sealer", unit="ml"), code="S1")

    label = label_of(tub_page("S1", now=MONDAY), site_address="http://studio.example")

    assert (label["empty"], label["full"]) == ("", "25 L")
    assert "Mask" not in label["caution"]
