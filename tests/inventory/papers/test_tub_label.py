"""The label of a tub."""

from __future__ import annotations

import pytest

from inventory.papers.tub_label import label_of
from inventory.queries.containers import tub_page
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material

pytestmark = pytest.mark.django_db


def test_says_what_is_on_the_tub_in_the_studios_numbers():
    a_filled_tub(KG, a_material(), code="Q2", tare_mg=860_000, capacity=15 * KG, role="working")

    label = label_of(tub_page("Q2", now=MONDAY), site_address="http://studio.example")

    assert (label["empty"], label["full"]) == ("0.86 kg", "15 kg")
    assert label["caution"].startswith("Mask on.")
    assert label["qr"].startswith("<svg")


def test_what_is_not_dusty_wants_no_mask_and_what_is_not_weighed_has_no_empty_weight():
    a_filled_tub(KG, a_material(kind="sealer", unit="ml"), code="S1")

    label = label_of(tub_page("S1", now=MONDAY), site_address="http://studio.example")

    assert (label["empty"], label["full"]) == ("", "25 L")
    assert "Mask" not in label["caution"]
