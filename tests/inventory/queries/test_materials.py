"""One material with its tubs and orders."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.errors import StudioError
from inventory.operations.ordering import expect_delivery
from inventory.queries.materials import any_material, material_page
from tests.factories.inventory import KG, a_filled_tub, a_material, a_tap, a_tub

pytestmark = pytest.mark.django_db


def test_the_page_has_tubs_and_orders_and_their_sum(django_assert_num_queries):
    powder = a_material()
    a_filled_tub(2 * KG, powder, code="B4")
    a_filled_tub(KG, powder, code="B5")
    a_tub(powder, code="B6", retired_on=date(2026, 10, 1))
    expect_delivery(
        material_id=powder.pk,
        amount=KG,
        ordered_on=date(2026, 10, 1),
        expected_on=date(2026, 10, 9),
        **a_tap(),
    )

    with django_assert_num_queries(4):
        page = material_page(powder.pk)

    assert (page.held, [tub.code for tub in page.tubs]) == (3 * KG, ["B4", "B5"])
    assert [delivery.amount for delivery in page.coming] == [KG]


def test_unknown_ones_are_refused():
    with pytest.raises(StudioError, match="no such material"):
        material_page(987_654)


def test_whether_there_is_any_material_in_use():
    a_material(retired_on=date(2026, 10, 1))
    assert any_material() is False

    a_material()
    assert any_material() is True
