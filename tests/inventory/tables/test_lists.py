"""The tables of the stores."""

from __future__ import annotations

import pytest
from django.test import RequestFactory

from inventory.queries.containers import lots_with_sums, tubs_with_sums
from inventory.tables.lists import LotsTable, TubsTable
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material

pytestmark = pytest.mark.django_db


def test_tubs_show_their_figures_with_units():
    a_filled_tub(KG, a_material(name="Quick compound"), code="B4", tare_mg=0, opened_at=MONDAY)

    row = TubsTable(tubs_with_sums(), request=RequestFactory().get("/")).rows[0]

    assert [str(row.get_cell(name)) for name in ("material", "role", "holds", "capacity", "tare_mg")] == [
        "Quick compound",
        "bulk tub",
        "1.00 kg",
        "25 kg",
        "–",
    ]
    assert row.get_cell("opened_at") == "5 Oct 2026"
    assert row.get_cell("code") == '<a href="/stores/tubs/B4/">B4</a>'


def test_lots_show_what_is_left():
    tub = a_filled_tub(KG)

    row = LotsTable(lots_with_sums()).rows[0]

    assert (row.get_cell("received_on"), row.get_cell("left")) == ("1 Sep 2026", "1.00 kg")
    assert tub.place.holdings.get().lot.code in row.get_cell("code")


def test_empty_tables_say_how_to_begin():
    assert TubsTable(tubs_with_sums()).empty_text == "No tubs yet. Take in a delivery to begin."
