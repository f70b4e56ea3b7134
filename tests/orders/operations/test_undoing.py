"""Taking an act of the orders back."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.errors import NothingToUndo
from orders.errors import HandedOver
from orders.models import Assignment, Customer, Order, OrderFile, ParcelPiece, ShelfWish
from orders.operations.assigning import assign_piece
from orders.operations.changing import call_off, change_order
from orders.operations.packing import tick_piece
from orders.operations.taking import type_order
from orders.operations.undoing import UNDO
from orders.operations.wishes import set_wish
from orders.queries.keeping import kept_for
from production.errors import LaterActsDepend
from production.models import Piece
from shopfloor.studio.undo import undoing_of
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_new_order, a_piece, an_order
from tests.orders.operations.test_importing import kept, uploaded
from tests.orders.operations.test_shipping import boxes, packed, ship

pytestmark = pytest.mark.django_db


def undo(done, now=MONDAY, **given):
    """As the Undo plate does it: by the act's id, through the table of undoings."""
    return undoing_of(done.act_id, by_owner=True)(
        **a_tap(now=now), act_id=done.act_id, offer_pieces=None, **given
    )


def test_a_typed_order_is_gone_and_its_pieces_free(made):
    done = type_order(**a_tap(), order=a_new_order([(made.tray, made.rust, 1)], number="1041"))
    piece = a_piece(made.tray, made.rust)

    assert undo(done).said == "1041 is taken back. Nothing of it is kept."

    assert not Order.objects.exists()
    assert not Customer.objects.exists()
    assert kept_for([piece.pk]) == {}
    with pytest.raises(NothingToUndo):
        undo(done)


def test_a_typed_order_with_a_piece_in_the_box_stays(made):
    done = type_order(**a_tap(), order=a_new_order([(made.tray, made.rust, 1)]))
    piece = a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=done.facts["order_id"], mark=piece.mark)

    with pytest.raises(LaterActsDepend, match=f"{piece.mark} is in the box of"):
        undo(done)
    assert Order.objects.exists()


def test_an_import_is_taken_back_as_a_whole_and_can_be_kept_again(made):
    done = kept(uploaded())

    undo(done)

    assert not Order.objects.exists()
    assert not OrderFile.objects.exists()
    kept(uploaded())
    assert Order.objects.count() == 2


def test_an_order_called_off_is_open_again(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    done = call_off(**a_tap(), order_id=order.pk)

    undo(done)

    order.refresh_from_db()
    assert (order.closed_at, order.called_off) == (None, False)
    assert kept_for([piece.pk]) == {piece.pk: order.number}


def test_a_piece_chosen_by_hand_is_shared_out_as_before(made):
    soon = an_order((made.tray, made.rust, 1), ship_by=TODAY)
    later = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    done = assign_piece(**a_tap(), mark=piece.mark, line_id=later.lines.get().pk)

    undo(done)

    assert kept_for([piece.pk]) == {piece.pk: soon.number}
    assert not Assignment.objects.get().by_hand


def test_a_piece_that_moved_on_by_hand_goes_back_to_the_hand_before(made):
    one, other = (an_order((made.tray, made.rust, 1)) for _ in range(2))
    piece = a_piece(made.tray, made.rust)
    assign_piece(**a_tap(), mark=piece.mark, line_id=other.lines.get().pk)
    done = assign_piece(**a_tap(), mark=piece.mark, line_id=one.lines.get().pk)

    undo(done)

    assert kept_for([piece.pk]) == {piece.pk: other.number}
    assert Assignment.objects.get().by_hand


def test_a_tick_is_taken_back_until_the_box_has_left(made):
    order = an_order((made.tray, made.rust, 2))
    first, second = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)
    tick = tick_piece(**a_tap(), order_id=order.pk, mark=first.mark)
    undo(tick)
    assert not ParcelPiece.objects.exists()

    tick = tick_piece(**a_tap(), order_id=order.pk, mark=second.mark)
    ship(order, [second.mark], in_part=True)

    with pytest.raises(LaterActsDepend, match="was shipped"):
        undo(tick)


def test_a_parcel_comes_back_packed_with_its_packaging(made):
    order, marks = packed(made)
    done = ship(order, marks)

    said = undo(done, now=MONDAY + timedelta(hours=2)).said

    assert said == f"{order.number} is not shipped. It stands packed, 2 pieces."
    order.refresh_from_db()
    assert order.closed_at is None
    assert not Piece.objects.filter(shipped_at__isnull=False).exists()
    assert ParcelPiece.objects.count() == 2
    assert boxes(made) == 20
    ship(order, marks)
    assert boxes(made) == 18


def test_a_parcel_that_was_collected_does_not_come_back(made):
    order, marks = packed(made)
    done = ship(order, marks)

    with pytest.raises(HandedOver, match="was collected at 17:00"):
        undo(done, now=MONDAY + timedelta(hours=9))
    assert boxes(made) == 18


def test_a_parcel_stays_away_while_the_next_box_is_packed_and_comes_back_once_it_is_empty(made):
    order, marks = packed(made, wanted=3, ticked=2)
    done = ship(order, marks, in_part=True)
    last = a_piece(made.tray, made.rust)
    tick = tick_piece(**a_tap(), order_id=order.pk, mark=last.mark)
    with pytest.raises(LaterActsDepend, match="next box"):
        undo(done)

    undo(tick)
    undo(done)

    assert order.parcels.count() == 1
    assert not Piece.objects.filter(shipped_at__isnull=False).exists()


def test_a_wish_goes_back_to_what_it_was(made):
    fields = {"article_id": made.tray.pk, "colour_id": made.rust.pk}
    first = set_wish(**a_tap(), **fields, level=4)
    second = set_wish(**a_tap(), **fields, level=6)

    undo(second)
    assert ShelfWish.objects.get().level == 4
    undo(first)
    assert not ShelfWish.objects.exists()


def test_every_undoing_takes_back_an_act_of_the_orders():
    assert all(name.startswith("orders.") for name in UNDO)


def test_a_change_is_taken_back_with_day_customer_and_lines_unless_it_was_changed_again(made):
    order = an_order((made.tray, made.rust, 2), customer="Sandpiper Low", note="rang up")
    new = a_new_order(
        [(made.cup, made.slate, 1)],
        number=order.number,
        customer="Plover Marsh",
        ship_by=TODAY + timedelta(9),
    )
    first = change_order(**a_tap(), order_id=order.pk, order=new)
    second = change_order(**a_tap(), order_id=order.pk, order=new)

    with pytest.raises(LaterActsDepend, match="changed again since"):
        undo(first)
    undo(second)
    undo(first)

    order.refresh_from_db()
    assert (order.customer.name, order.note) == ("Sandpiper Low", "rang up")
    assert order.ship_by == TODAY + timedelta(days=4)
    assert list(order.lines.values_list("article", "colour", "quantity")) == [(made.tray.pk, made.rust.pk, 2)]
