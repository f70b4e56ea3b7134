"""What packing will take out of the stores."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.arithmetic.wanted_by import line_key, wish_key
from orders.models import Order, ShelfWish
from orders.operations.changing import call_off
from orders.operations.packing import tick_piece
from orders.queries.needs import has_left, packaging_draws, wanted_by
from tests.factories.inventory import a_tap
from tests.factories.orders import PIECE, TODAY, a_market_day, a_piece, an_order
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def test_packaging_is_drawn_on_the_day_an_order_leaves(made):
    an_order((made.tray, made.rust, 2), (made.cup, made.slate, 1))
    an_order((made.tray, made.rust, 3), ship_by=TODAY + timedelta(days=9))

    assert packaging_draws(TODAY) == {
        made.box.pk: [(TODAY + timedelta(days=4), 3 * PIECE), (TODAY + timedelta(days=9), 3 * PIECE)]
    }


def test_what_has_left_needs_nothing_and_what_is_late_counts_for_today(made):
    order, marks = packed(made, wanted=3, ticked=2)
    ship(order, marks, in_part=True)
    Order.objects.update(ship_by=TODAY - timedelta(days=2))

    assert packaging_draws(TODAY) == {made.box.pk: [(TODAY, PIECE)]}


def test_what_was_shipped_in_full_has_left_whoever_its_pieces_were_poured_for(
    made, django_assert_num_queries
):
    gone, marks = packed(made)
    ship(gone, marks)
    in_part, ticked = packed(made, wanted=3, ticked=2)
    ship(in_part, ticked, in_part=True)
    off = an_order((made.tray, made.rust, 1))
    call_off(**a_tap(), order_id=off.pk)
    keys = {order: line_key(order.lines.get().pk) for order in (gone, in_part, off)}

    with django_assert_num_queries(1):
        left = has_left([*keys.values(), wish_key(1), "line:9999"])

    assert left == {keys[gone], keys[off]}


def test_one_line_of_an_open_order_can_have_left(made):
    order = an_order((made.tray, made.rust, 1), (made.tray, made.slate, 1))
    rust, slate = order.lines.order_by("pk")
    piece = a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)
    ship(order, [piece.mark], in_part=True)

    assert has_left([line_key(rust.pk), line_key(slate.pk)]) == {line_key(rust.pk)}


def test_where_an_article_is_still_to_go_is_named_with_how_many(made):
    order = an_order((made.tray, made.rust, 2), (made.cup, made.slate, 1))
    market = a_market_day((made.tray, made.rust, 6), on=TODAY + timedelta(days=12))
    ShelfWish.objects.create(article=made.tray, colour=made.rust, level=3)
    call_off(**a_tap(), order_id=an_order((made.tray, made.rust, 9)).pk)

    assert wanted_by(made.tray.pk) == [f"order {order.number}: 2", f"{market.number}: 6", "shelf stock: 3"]
    assert wanted_by(0) == []
