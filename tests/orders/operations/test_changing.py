"""Orders changed and called off, and what that frees."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.errors import NoSuchOrder, OrderClosed, OrderRefused
from orders.models import Assignment, Order, ParcelPiece
from orders.operations.changing import call_off, change_order
from orders.operations.packing import tick_piece
from orders.queries.keeping import kept_for
from production.models import Article, Piece
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_new_order, a_piece, an_order
from tests.factories.production import a_planned_mix

pytestmark = pytest.mark.django_db


def changed(order, **fields):
    lines = [(line.article, line.colour, line.quantity) for line in order.lines.all()]
    given = {"number": order.number, "ship_by": order.ship_by, **fields}
    return a_new_order(given.pop("lines", lines), **given)


def test_an_open_order_can_be_changed(made):
    order = an_order((made.tray, made.rust, 3))
    lines = [(made.tray, made.rust, 1), (made.cup, made.slate, 2)]
    new = changed(order, lines=lines, ship_by=TODAY + timedelta(days=8), address="4 Invented Row")

    change_order(**a_tap(), order_id=order.pk, order=new)

    order.refresh_from_db()
    assert (order.ship_by, order.customer.address) == (TODAY + timedelta(days=8), "4 Invented Row")
    assert set(order.lines.values_list("article", "quantity")) == {(made.tray.pk, 1), (made.cup.pk, 2)}


def test_pieces_that_are_not_wanted_any_more_are_let_go_out_of_the_box_too(made):
    order = an_order((made.tray, made.rust, 2))
    pieces = [a_piece(made.tray, made.rust) for _ in range(2)]
    for piece in pieces:
        tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)

    change_order(**a_tap(), order_id=order.pk, order=changed(order, lines=[(made.tray, made.rust, 1)]))

    assert Assignment.objects.count() == ParcelPiece.objects.count() == 1


def test_a_change_after_the_plan_says_which_casts_are_spared(made):
    order = an_order((made.tray, made.rust, 4))
    wednesday = MONDAY + timedelta(days=2)
    a_planned_mix(
        made.tray, made.rust, wanted_by=f"line:{order.lines.get().pk}", starts_at=wednesday, pieces=4
    )

    done = change_order(**a_tap(), order_id=order.pk, order=changed(order, lines=[(made.tray, made.rust, 1)]))

    assert "3 planned casts (Wed 7) need not be poured" in done.said
    assert done.said.endswith("plan again to use that.")


def test_a_change_of_what_is_not_planned_yet_says_how_many_need_not_be_made(made):
    order = an_order((made.tray, made.rust, 4))

    done = change_order(**a_tap(), order_id=order.pk, order=changed(order, lines=[(made.tray, made.rust, 3)]))

    assert done.said.endswith("1 piece need not be made: plan again to use the time.")


def test_what_has_left_cannot_be_taken_out_of_an_order(made):
    order = an_order((made.tray, made.rust, 3))
    for _ in range(2):
        a_piece(made.tray, made.rust)
    Piece.objects.update(shipped_at=MONDAY)

    with pytest.raises(OrderRefused, match="2 of Ferry tray in Rust have left already"):
        change_order(**a_tap(), order_id=order.pk, order=changed(order, lines=[(made.tray, made.rust, 1)]))


def test_the_number_stays_and_the_day_may_not_move_into_the_past(made):
    order = an_order((made.tray, made.rust, 3))

    with pytest.raises(OrderRefused, match="number of an order stays"):
        change_order(**a_tap(), order_id=order.pk, order=changed(order, number="other"))
    with pytest.raises(OrderRefused, match="Sun 4 is past"):
        past = changed(order, ship_by=TODAY - timedelta(days=1))
        change_order(**a_tap(), order_id=order.pk, order=past)


def test_a_late_order_can_be_changed_without_moving_its_day(made):
    order = an_order((made.tray, made.rust, 3))
    Order.objects.update(ship_by=TODAY - timedelta(days=2))
    order.refresh_from_db()

    change_order(**a_tap(), order_id=order.pk, order=changed(order, note="rang up"))

    order.refresh_from_db()
    assert order.note == "rang up"


def test_calling_off_frees_the_pieces_for_others(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)
    other = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=9))

    done = call_off(**a_tap(), order_id=order.pk)

    assert done.said == f"{order.number} called off. 1 piece is free again."
    assert kept_for([piece.pk]) == {piece.pk: other.number}
    order.refresh_from_db()
    assert (order.called_off, order.closed_at) == (True, MONDAY)


def test_calling_off_a_part_shipped_order_frees_the_rest_and_says_what_stays_shipped(made):
    order = an_order((made.tray, made.rust, 3))
    left, here = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)
    Piece.objects.filter(pk=left.pk).update(shipped_at=MONDAY)

    done = call_off(**a_tap(), order_id=order.pk)

    assert done.said == f"{order.number} called off. 1 piece that left stays shipped. 1 piece is free again."
    assert kept_for([left.pk, here.pk]) == {left.pk: order.number}


def test_an_article_that_is_renamed_or_retired_stays_in_the_orders_that_have_it(made):
    order = an_order((made.tray, made.rust, 2))
    Article.objects.filter(pk=made.tray.pk).update(name="Estuary tray", retired_on=TODAY)

    change_order(**a_tap(), order_id=order.pk, order=changed(order, note="rang up"))

    assert str(order.lines.get().article) == "Estuary tray"
    with pytest.raises(OrderRefused, match="not in the Range any more"):
        an_order((made.tray, made.rust, 1))


def test_a_closed_order_and_one_that_is_not_there_are_refused(made):
    order = an_order((made.tray, made.rust, 1))
    call_off(**a_tap(), order_id=order.pk)

    with pytest.raises(OrderClosed, match="was called off"):
        call_off(**a_tap(), order_id=order.pk)
    with pytest.raises(NoSuchOrder):
        call_off(**a_tap(), order_id=order.pk + 99)
