"""The packing table."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.models import Material
from orders.errors import NoSuchOrder
from orders.operations.packing import tick_piece
from orders.queries.packing_page import packing_page
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_piece, an_order
from tests.orders.operations.test_shipping import HOURS, packed

pytestmark = pytest.mark.django_db


def page(order):
    return packing_page(order.number, now=MONDAY, hours=HOURS)


def test_the_tally_names_what_is_to_go(made):
    order, marks = packed(made, wanted=3, ticked=2)
    last = a_piece(made.tray, made.rust)

    found = page(order)

    assert found.tally == f"2 of 3 in the box. One to go, piece {last.mark}."
    assert (set(found.boxed), found.to_tick, found.is_complete) == (set(marks), (last.mark,), False)
    tick_piece(**a_tap(), order_id=order.pk, mark=last.mark)
    assert (page(order).tally, page(order).is_complete) == ("All 3 in the box.", True)


def test_what_is_not_ready_is_said_with_when(made):
    order, _ = packed(made, wanted=3, ticked=2)
    tomorrow = MONDAY + timedelta(hours=24)
    a_piece(made.tray, made.rust, ready_at=tomorrow, out_at=MONDAY, last_step_at=MONDAY)

    found = page(order)

    assert found.waiting == "1 piece is not ready, ready Tue 6, 09:00."
    assert found.follows == "Tue 6"


def test_packaging_of_what_would_leave_is_named(made):
    order, _ = packed(made, wanted=3, ticked=2)
    assert page(order).packaging == "2 pcs of Post box, medium"


def test_the_mix_and_candles_of_the_box_are_shown(made):
    order = an_order((made.tray, made.rust, 1), (made.cup, made.slate, 1))
    a_piece(made.tray, made.rust)
    cup = a_piece(made.cup, made.slate)

    found = page(order)

    assert len(found.in_it) == 2
    assert found.candles == 1
    assert [one.mark for one in found.care if one.is_candle] == [cup.mark]
    assert found.without_wording == ()


def test_a_fill_without_hazard_wording_is_pointed_out(made):
    Material.objects.filter(kind="wax").update(hazard_wording="")
    order = an_order((made.cup, made.slate, 1))
    a_piece(made.cup, made.slate)

    assert page(order).without_wording == ("Container wax",)


def test_the_next_order_that_can_be_packed_is_offered(made):
    order, _ = packed(made)
    other, _ = packed(made, ship_by=TODAY + timedelta(days=6))

    assert page(order).next_to_pack == other.number
    assert page(other).next_to_pack == order.number


def test_an_order_that_is_not_there_is_said(made):
    with pytest.raises(NoSuchOrder, match="No order 77"):
        packing_page("77", now=MONDAY, hours=HOURS)


def test_it_takes_the_same_queries_for_few_and_many_pieces(made, django_assert_num_queries):
    few, _ = packed(made, wanted=1, ticked=1)
    many, _ = packed(made, wanted=12, ticked=10)

    with django_assert_num_queries(35):
        page(few)
    with django_assert_num_queries(35):
        page(many)
