"""Orders typed by hand, changed, called off."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from orders.errors import NoSuchOrder, OrderClosed, OrderRefused
from orders.models import Assignment, Customer, Order, ParcelPiece
from orders.operations.packing import tick_piece
from orders.operations.taking import call_off, change_order, type_order
from orders.queries.keeping import kept_for
from production.models import Article, Piece
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_market_day, a_new_order, a_piece, a_range, an_order
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def test_an_order_typed_by_hand_is_kept_with_its_lines(made):
    order = a_new_order([(made.tray, made.rust, 2), (made.tray, made.rust, 1)], number="1041")

    done = type_order(**a_tap(), order=order)

    assert done.said == "1041 kept: 3 pieces, leaves Fri 9."
    kept = Order.objects.get()
    assert (kept.kind, kept.customer.name, kept.ship_by) == ("order", "Sandpiper Low", order.ship_by)
    assert kept.lines.get().quantity == 3


def test_a_second_tap_keeps_no_second_order(made):
    order, tap = a_new_order([(made.tray, made.rust, 2)]), a_tap()

    first, second = type_order(**tap, order=order), type_order(**tap, order=order)

    assert (second.again, second.facts) == (True, first.facts)
    assert Order.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"ship_by": TODAY - timedelta(days=1)}, "ship_by", "Sun 4 is past"),
        ({"ordered_on": TODAY + timedelta(days=1)}, "ordered_on", "Tue 6 has not come yet"),
        ({"ordered_on": date(2027, 1, 1)}, "ordered_on", "Fri 1 Jan 2027 has not come yet"),
        ({"customer": ""}, "customer", "Say who it is for"),
    ],
)
def test_what_cannot_be_kept_names_its_field_and_keeps_nothing(made, changed, field, said):
    order = a_new_order([(made.tray, made.rust, 2)], **changed)

    with pytest.raises(OrderRefused, match=said) as refused:
        type_order(**a_tap(), order=order)

    assert refused.value.facts["field"] == field
    assert not Order.objects.exists()
    assert not Customer.objects.exists()


def test_an_order_of_nothing_is_refused(made):
    with pytest.raises(OrderRefused, match="at least one article"):
        an_order()


def test_a_number_that_is_taken_is_refused(made):
    an_order((made.tray, made.rust, 1), number="1041")

    with pytest.raises(OrderRefused, match="1041 is here already"):
        an_order((made.tray, made.rust, 1), number="1041")


def test_a_colour_the_article_is_not_made_in_and_a_retired_article_are_refused(made):
    with pytest.raises(OrderRefused, match="is not made in Rust"):
        an_order((made.cup, made.rust, 1))
    Article.objects.filter(pk=made.tray.pk).update(retired_on=TODAY)
    with pytest.raises(OrderRefused, match="not in the Range any more"):
        an_order((made.tray, made.rust, 1))


def test_a_market_day_has_nobody_to_send_to(made):
    market = a_market_day((made.tray, made.rust, 6), on=TODAY + timedelta(days=5))

    assert (market.kind, market.customer) == ("market", None)


def test_the_same_customer_at_the_same_address_is_one_row(made):
    an_order((made.tray, made.rust, 1))
    an_order((made.tray, made.rust, 1))
    an_order((made.tray, made.rust, 1), address="4 Invented Row")

    assert Customer.objects.count() == 2


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


@pytest.mark.django_db(transaction=True)
def test_two_screens_typing_the_same_number_at_once_keep_one_order():
    made = a_range()
    order = a_new_order([(made.tray, made.rust, 1)], number="1041")

    answers = at_once(lambda: type_order(**a_tap(), order=order), lambda: type_order(**a_tap(), order=order))

    assert sum(isinstance(answer, OrderRefused) for answer in answers) == 1
    assert Order.objects.count() == 1
