"""Orders placed with suppliers."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.operations.ordering import expect_delivery
from inventory.operations.receiving import receive_lot
from inventory.queries.deliveries import Expected, expected
from tests.factories.inventory import KG, a_material, a_tap, a_tub

pytestmark = pytest.mark.django_db


def test_what_is_in_is_not_expected_any_more(django_assert_num_queries):
    powder, wax = a_material(), a_material(kind="wax")
    ordered = [
        expect_delivery(
            material_id=material.pk, amount=KG, ordered_on=date(2026, 10, 1), expected_on=on, **a_tap()
        )
        for material, on in [
            (powder, date(2026, 10, 9)),
            (wax, date(2026, 10, 7)),
            (powder, date(2026, 10, 6)),
        ]
    ]
    receive_lot(
        material_id=powder.pk,
        amount=KG,
        received_on=date(2026, 10, 5),
        container_id=a_tub(powder).pk,
        delivery_id=ordered[2].facts["delivery_ids"][0],
        **a_tap(),
    )

    with django_assert_num_queries(1):
        everything = expected()

    assert everything == [
        Expected(wax.pk, date(2026, 10, 7), KG),
        Expected(powder.pk, date(2026, 10, 9), KG),
    ]
    assert expected([wax.pk]) == [Expected(wax.pk, date(2026, 10, 7), KG)]
