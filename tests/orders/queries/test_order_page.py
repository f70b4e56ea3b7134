"""The page of one order."""

from __future__ import annotations

import pytest

from orders.errors import NoSuchOrder
from orders.operations.assigning import assign_piece
from orders.queries.order_page import find_order, next_number, order_page
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import a_market_day, a_piece, an_order
from tests.factories.production import a_planned_mix
from tests.orders.operations.test_shipping import HOURS, packed, ship

pytestmark = pytest.mark.django_db


def page(order):
    return order_page(order.number, now=MONDAY, hours=HOURS)


def test_each_line_says_where_its_pieces_are(made):
    order, marks = packed(made, wanted=5, ticked=1)
    ship(order, marks, in_part=True)
    ready = a_piece(made.tray, made.rust)
    chosen = a_piece(made.tray, made.rust, ready_at=None, out_at=MONDAY, last_step_at=MONDAY)
    assign_piece(**a_tap(), mark=chosen.mark, line_id=order.lines.get().pk)

    (line,) = page(order).lines

    assert line.where == (
        f"{marks[0]} shipped, {ready.mark} ready, {chosen.mark} drying, chosen by hand, 2 not poured"
    )
    assert (page(order).ready, page(order).left) == (1, 4)


def test_what_has_left_is_told_parcel_by_parcel(made):
    order, marks = packed(made)
    ship(order, marks)

    found = page(order)

    assert (found.is_open, found.sentence) == (False, "2 shipped")
    assert [(parcel.number, set(parcel.marks)) for parcel in found.parcels] == [(1, set(marks))]


def test_an_order_is_found_whatever_its_capitals(made):
    order = an_order((made.tray, made.rust, 1), number="SL-12")

    assert find_order("sl-12") == order
    with pytest.raises(NoSuchOrder):
        find_order("SL-13")


def test_the_next_number_follows_the_highest_one_of_figures(made):
    assert next_number() == ""
    for number in ("1041", "1050", "SL-9"):
        an_order((made.tray, made.rust, 1), number=number)
    a_market_day((made.tray, made.rust, 1), on=MONDAY.date(), number="9999")

    assert next_number() == "1051"


def test_it_takes_the_same_queries_for_few_and_many_pieces(made, django_assert_num_queries):
    few, _ = packed(made, wanted=1, ticked=1)
    many, _ = packed(made, wanted=12, ticked=10)

    with django_assert_num_queries(13):
        page(few)
    with django_assert_num_queries(13):
        page(many)


def test_an_order_the_plan_does_not_know_is_unplanned_until_nothing_of_it_is_to_pour(made):
    order = an_order((made.tray, made.rust, 1))
    assert page(order).is_unplanned

    a_planned_mix(made.tray, made.rust, wanted_by=f"line:{order.lines.get().pk}")
    assert not page(order).is_unplanned

    ready = an_order((made.cup, made.slate, 1))
    a_piece(made.cup, made.slate)
    assert not page(ready).is_unplanned
