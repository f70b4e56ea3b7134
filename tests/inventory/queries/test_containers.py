"""The tubs, in a table and one by its code."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.errors import StudioError
from inventory.queries.containers import lot_by_code, lots_with_sums, tub_page, tub_to_change, tubs_with_sums
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tub, fill

pytestmark = pytest.mark.django_db


def test_the_table_of_tubs_has_their_sums_and_no_retired_ones(django_assert_num_queries):
    tub = a_filled_tub(2 * KG, code="B4")
    fill(tub, KG)
    a_tub(code="B5")
    a_tub(code="B6", retired_on=MONDAY.date())

    with django_assert_num_queries(1):
        rows = [(row.code, row.holds, row.lots_count, row.material.name) for row in tubs_with_sums()]

    assert [row[:3] for row in rows] == [("B4", 3 * KG, 2), ("B5", 0, 0)]


def test_the_page_of_a_tub_says_what_is_in_it(django_assert_num_queries):
    tub = a_tub(a_material(opened_life_days=30), code="B4", opened_at=MONDAY)
    first, second = fill(tub, 2 * KG), fill(tub, KG)

    with django_assert_num_queries(2):
        page = tub_page("b4", now=MONDAY + timedelta(days=46))

    assert (page.held, page.opened_days, page.must_sieve) == (3 * KG, 46, True)
    assert [(lot.code, lot.amount) for lot in page.lots] == [(first.code, 2 * KG), (second.code, KG)]


def test_unknown_codes_are_refused_with_what_is_near():
    tub = a_filled_tub(KG, code="B4")
    lot = tub.place.holdings.get().lot

    with pytest.raises(StudioError, match="There is no tub B5. Near: B4."):
        tub_page("B5", now=MONDAY)
    with pytest.raises(StudioError, match="There is no tub XYZ."):
        tub_to_change("XYZ")
    with pytest.raises(StudioError, match="There is no lot NOPE."):
        lot_by_code("NOPE")
    assert lot_by_code(lot.code.lower()).left == KG
    assert [row.left for row in lots_with_sums()] == [KG]
