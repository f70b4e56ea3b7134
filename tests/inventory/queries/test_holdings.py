"""What the tubs hold."""

from __future__ import annotations

import pytest

from inventory.operations.ledger import draw_from
from inventory.queries.holdings import held_by_container, held_by_material
from tests.factories.inventory import KG, a_filled_tub, a_material, a_tap_of, a_tub, fill

pytestmark = pytest.mark.django_db


def test_held_by_material_and_by_container_add_up_what_the_lots_have(django_assert_num_queries):
    powder, pigment = a_material(), a_material(kind="pigment")
    bulk, working = a_filled_tub(10 * KG, powder), a_filled_tub(3 * KG, powder)
    fill(bulk, 2 * KG)
    black = a_filled_tub(500_000, pigment)
    emptied = a_filled_tub(KG)
    draw_from(a_tap_of(), emptied.pk, KG, "mix")
    a_tub()

    with django_assert_num_queries(2):
        by_material, by_container = held_by_material(), held_by_container()

    assert by_material == {powder.pk: 15 * KG, pigment.pk: 500_000}
    assert by_container == {bulk.pk: 12 * KG, working.pk: 3 * KG, black.pk: 500_000}
