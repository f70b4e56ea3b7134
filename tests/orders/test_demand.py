"""What the planner is asked for."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.demand import demand_with_typed, open_demand
from orders.models import Order, ShelfWish
from orders.operations.changing import call_off
from production.models import Article, Piece
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_market_day, a_piece, an_order

pytestmark = pytest.mark.django_db


def test_an_order_line_is_wanted_with_the_pieces_kept_for_it(made):
    order = an_order((made.tray, made.rust, 3))
    piece = a_piece(made.tray, made.rust)

    (wanted,) = open_demand(TODAY)

    assert wanted.wanted_by == f"line:{order.lines.get().pk}"
    assert (wanted.label, wanted.quantity, wanted.ship_by) == (order.number, 3, order.ship_by)
    assert wanted.kept_piece_ids == (piece.pk,)
    assert wanted.weight == 1


def test_what_has_left_is_not_wanted_any_more(made):
    an_order((made.tray, made.rust, 3))
    gone, here = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)
    Piece.objects.filter(pk=gone.pk).update(shipped_at=MONDAY)

    (wanted,) = open_demand(TODAY)

    assert (wanted.quantity, wanted.kept_piece_ids) == (2, (here.pk,))


def test_closed_orders_are_not_wanted(made):
    order = an_order((made.tray, made.rust, 3))
    call_off(**a_tap(), order_id=order.pk)

    assert open_demand(TODAY) == []


def test_a_market_day_counts_for_more_than_an_order(made):
    market = a_market_day((made.tray, made.rust, 6), on=TODAY + timedelta(days=5))

    (wanted,) = open_demand(TODAY)

    assert (wanted.label, wanted.weight) == (market.number, 2)


def test_an_order_that_matters_more_counts_as_often_as_it_says(made):
    order = an_order((made.tray, made.rust, 3), weight=4)

    (wanted,) = open_demand(TODAY)

    assert order.weight == 4
    assert (wanted.weight, wanted.kind) == (4, "order")


def test_a_shelf_wish_is_due_in_three_weeks_never_late_and_counts_free_pieces_only(made):
    wish = ShelfWish.objects.create(article=made.tray, colour=made.rust, level=2)
    order = an_order((made.tray, made.rust, 1), ship_by=TODAY)
    kept, free = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)

    of_order, of_wish = open_demand(TODAY)

    assert (of_order.label, of_order.kept_piece_ids) == (order.number, (kept.pk,))
    assert (of_wish.wanted_by, of_wish.label) == (f"wish:{wish.pk}", "shelf stock")
    assert (of_wish.quantity, of_wish.weight) == (2, 0)
    assert of_wish.ship_by == TODAY + timedelta(days=21)
    assert of_wish.kept_piece_ids == (free.pk,)
    # what is not made any more is made for orders only
    Article.objects.update(retired_on=TODAY)
    assert [one.wanted_by for one in open_demand(TODAY)] == [of_order.wanted_by]


def test_reading_demand_takes_the_same_queries_for_one_line_and_for_many(made, django_assert_max_num_queries):
    for _ in range(12):
        an_order((made.tray, made.rust, 1), (made.cup, made.slate, 2))
    ShelfWish.objects.create(article=made.cup, colour=made.slate, level=2)
    assert Order.objects.count() == 12

    with django_assert_max_num_queries(5):
        assert len(open_demand(TODAY)) == 25


def test_what_is_typed_comes_first_with_the_free_pieces_it_would_get(made):
    ShelfWish.objects.create(article=made.tray, colour=made.rust, level=2)
    other = an_order((made.tray, made.slate, 1))
    free = [a_piece(made.tray, made.rust).pk for _ in range(2)]

    typed, ordered, wish = demand_with_typed(
        [(made.tray.pk, made.rust.pk, 1)], ship_by=TODAY, is_market=True, instead_of="", today=TODAY
    )

    assert (typed.wanted_by, typed.quantity, typed.ship_by, typed.weight) == ("typed:1", 1, TODAY, 2)
    assert typed.kept_piece_ids == (free[0],)
    assert (ordered.label, wish.label) == (other.number, "shelf stock")
    assert wish.kept_piece_ids == (free[1],)


def test_an_order_that_is_changed_stands_aside_for_what_is_typed(made):
    order = an_order((made.tray, made.rust, 5))

    found = demand_with_typed(
        [(made.tray.pk, made.rust.pk, 1)],
        ship_by=TODAY,
        is_market=False,
        instead_of=order.number,
        today=TODAY,
    )

    assert [one.wanted_by for one in found] == ["typed:1"]
