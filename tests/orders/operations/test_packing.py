"""Pieces into the box, one tick or scan each."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.errors import NotForThisBox, OrderClosed, StalePreview
from orders.models import Parcel, ParcelPiece
from orders.operations.changing import call_off
from orders.operations.packing import tick_piece, untick_piece
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import a_piece, a_range, an_order
from tests.orders.operations.test_shipping import ship
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def tick(order, mark, **tap):
    return tick_piece(**a_tap(**tap), order_id=order.pk, mark=mark)


def test_ticks_fill_the_box_and_the_last_one_packs_it(made):
    order = an_order((made.tray, made.rust, 2))
    first, second = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)

    assert tick(order, first.mark).said == f"{first.mark} is in the box of {order.number}. 1 to go."
    assert Parcel.objects.get().packed_at is None
    assert tick(order, second.mark).said == f"{second.mark} is in the box of {order.number}. All in."

    parcel = Parcel.objects.get()
    assert (parcel.number, parcel.packed_at, parcel.shipped_at) == (1, MONDAY, None)


def test_small_letters_and_spaces_of_a_typed_mark_do_no_harm(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)

    tick(order, f" {piece.mark[:2].lower()} {piece.mark[2:].lower()} ")

    assert ParcelPiece.objects.get().piece_id == piece.pk


def test_a_wrong_mark_says_what_it_is_and_whom_it_is_for(made):
    order = an_order((made.tray, made.slate, 1))
    other = an_order((made.tray, made.rust, 1), number="1099")
    piece = a_piece(made.tray, made.rust)

    with pytest.raises(NotForThisBox) as refused:
        tick(order, piece.mark)

    assert refused.value.message == (
        f"{piece.mark} is a Ferry tray in Rust, kept for {other.number}. Not for this box."
        f" Put it back for {other.number}."
    )
    assert not ParcelPiece.objects.exists()


def test_a_piece_in_another_colour_says_which_one_to_take(made):
    order = an_order((made.tray, made.slate, 1))
    own = a_piece(made.tray, made.slate)
    wrong = a_piece(made.tray, made.rust)

    with pytest.raises(NotForThisBox) as refused:
        tick(order, wrong.mark)

    assert refused.value.message == (
        f"{wrong.mark} is a Ferry tray in Rust, kept for nobody. Not for this box."
        f" {order.number} wants it in Slate: take {own.mark}."
    )


def test_a_piece_in_another_box_or_gone_with_one_says_what_to_do(made):
    first, second = an_order((made.tray, made.rust, 1)), an_order((made.tray, made.rust, 1))
    piece, other = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)
    tick(first, piece.mark)

    with pytest.raises(NotForThisBox, match=f"in the box of {first.number}. Put it back there"):
        tick(second, piece.mark)
    ship(first, [piece.mark])
    with pytest.raises(NotForThisBox, match=f"left with {first.number} 09:00. Has it come back"):
        tick(second, piece.mark)
    with pytest.raises(NotForThisBox, match=f"take {other.mark}, or choose it by hand"):
        tick(second, a_piece(made.tray, made.rust).mark)


def test_two_people_packing_one_order_fill_one_box_and_ship_it_once(made):
    """The second one's page is older than the box: it is told to look again, and nothing leaves twice."""
    order = an_order((made.tray, made.rust, 2))
    first, second = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)
    tick(order, first.mark)
    shown_to_one = [first.mark]
    tick(order, second.mark)

    with pytest.raises(StalePreview, match="The box changed on another screen"):
        ship(order, shown_to_one, in_part=True)
    ship(order, [first.mark, second.mark])
    with pytest.raises(OrderClosed):
        ship(order, [first.mark, second.mark])
    assert Parcel.objects.count() == 1


def test_a_piece_kept_for_nobody_and_an_unknown_mark_are_told_apart(made):
    order = an_order((made.tray, made.slate, 1))
    piece = a_piece(made.tray, made.rust)

    with pytest.raises(NotForThisBox, match="a Ferry tray in Rust, kept for nobody"):
        tick(order, piece.mark)
    with pytest.raises(NotForThisBox, match="No piece has the mark ZZZZ"):
        tick(order, "zzzz")


def test_a_piece_that_is_not_ready_says_when(made):
    order = an_order((made.tray, made.rust, 2))
    wet = a_piece(made.tray, made.rust, ready_at=None)
    curing = a_piece(made.tray, made.rust, ready_at=MONDAY + timedelta(days=3))

    with pytest.raises(NotForThisBox, match="still wants hands"):
        tick(order, wet.mark)
    with pytest.raises(NotForThisBox, match="is ready Thu 8, 09:00. Pack it then."):
        tick(order, curing.mark)


def test_a_piece_is_ticked_once(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    tap = a_tap()
    tick_piece(**tap, order_id=order.pk, mark=piece.mark)

    assert tick_piece(**tap, order_id=order.pk, mark=piece.mark).again
    with pytest.raises(NotForThisBox, match="in the box already"):
        tick(order, piece.mark)


def test_unticking_takes_it_out_and_the_box_is_not_packed_any_more(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    tick(order, piece.mark)

    done = untick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)

    assert done.said == f"{piece.mark} is out of the box."
    assert not ParcelPiece.objects.exists()
    assert Parcel.objects.get().packed_at is None
    with pytest.raises(NotForThisBox, match="is not in the box"):
        untick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)


def test_a_closed_order_is_not_packed(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    call_off(**a_tap(), order_id=order.pk)

    with pytest.raises(OrderClosed):
        tick(order, piece.mark)


@pytest.mark.django_db(transaction=True)
def test_two_scans_of_one_piece_at_once_tick_it_once():
    made = a_range()
    order = an_order((made.tray, made.rust, 2))
    piece = a_piece(made.tray, made.rust)

    answers = at_once(lambda: tick(order, piece.mark), lambda: tick(order, piece.mark))

    assert sum(isinstance(answer, NotForThisBox) for answer in answers) == 1
    assert (ParcelPiece.objects.count(), Parcel.objects.count()) == (1, 1)
