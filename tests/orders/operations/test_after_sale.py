"""What comes back, and what is sent in its place."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.errors import NotFromHere, OrderRefused
from orders.models import Assignment, Order, ParcelPiece, Return
from orders.operations.after_sale import note_return, send_replacement
from orders.operations.undoing import undo_note_return
from orders.queries.order_page import order_page
from production.models import Piece
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_piece, an_order
from tests.orders.operations.test_shipping import HOURS, packed, ship

pytestmark = pytest.mark.django_db


@pytest.fixture
def gone(made):
    """An order of two trays that has left, and its marks."""
    order, marks = packed(made)
    ship(order, marks)
    return order, marks


def back(order, marks, why="not wanted", outcome="good"):
    return note_return(**a_tap(), order_id=order.pk, marks=marks, why=why, outcome=outcome)


def test_a_good_piece_is_free_again_and_goes_to_the_next_order(gone, made):
    order, marks = gone
    waiting = an_order((made.tray, made.rust, 1))

    done = back(order, marks[:1])

    assert done.said == f"{marks[0]} of {order.number}: not wanted after all, good, back on the shelf."
    assert Assignment.objects.get(piece__mark=marks[0]).line.order_id == waiting.pk
    assert Piece.objects.get(mark=marks[0]).shipped_at is None
    shown = order_page(order.number, now=MONDAY, hours=HOURS)
    assert [row.mark for row in shown.returns] == [marks[0]]
    assert "not poured" not in shown.lines[0].where


def test_a_broken_piece_stays_with_the_order_it_left_with(gone):
    order, marks = gone

    back(order, marks[:1], "broken in post", "scrap")

    piece = Piece.objects.get(mark=marks[0])
    assert (piece.outcome, piece.shipped_at) == ("scrap", MONDAY)
    assert Assignment.objects.get(piece=piece).line.order_id == order.pk


def test_of_an_open_order_the_piece_is_wanted_again(made):
    order, marks = packed(made, wanted=2, ticked=1)
    ship(order, marks, in_part=True)

    back(order, marks, "broken in post", "scrap")

    assert not Assignment.objects.filter(line__order=order).exists()
    with pytest.raises(OrderRefused, match="still open, and its pieces go with the rest"):
        send_replacement(**a_tap(), order_id=order.pk, ship_by=TODAY)


def test_a_replacement_wants_what_broke_and_keeps_the_link(gone):
    order, marks = gone
    back(order, marks, "broken in post", "scrap")

    done = send_replacement(**a_tap(), order_id=order.pk, ship_by=TODAY + timedelta(days=3))

    made = Order.objects.get(pk=done.facts["order_id"])
    assert (made.number, made.replaces_id) == (f"{order.number}-R", order.pk)
    assert made.customer_id == Order.objects.get(pk=order.pk).customer_id
    assert [(line.article.name, line.quantity) for line in made.lines.all()] == [("Ferry tray", 2)]
    with pytest.raises(OrderRefused, match="lacks nothing"):
        send_replacement(**a_tap(), order_id=order.pk, ship_by=TODAY)


def test_what_did_not_leave_or_is_back_already_is_refused(gone, made):
    order, marks = gone
    elsewhere = a_piece(made.tray, made.rust).mark
    back(order, marks[:1], "broken in post", "scrap")

    with pytest.raises(NotFromHere, match=f"{elsewhere} did not leave with {order.number}"):
        back(order, [elsewhere])
    with pytest.raises(NotFromHere, match="noted as back already"):
        back(order, marks[:1])
    with pytest.raises(OrderRefused, match="What broke in post is not good"):
        back(order, marks[1:], "broken in post", "good")


def test_undone_the_piece_is_with_the_customer_as_before(gone):
    order, marks = gone
    done = back(order, marks, outcome="second")

    undo_note_return(**a_tap(), act_id=done.act_id)

    assert set(Piece.objects.values_list("outcome", "shipped_at")) == {("good", MONDAY)}
    assert set(ParcelPiece.objects.values_list("piece__mark", flat=True)) == set(marks)
    assert Assignment.objects.filter(line__order=order).count() == 2
    assert not Return.objects.exists()
