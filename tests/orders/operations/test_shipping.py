"""Parcels leave."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from inventory.errors import NotEnoughInContainer
from inventory.models import Container, Entry, Posting
from inventory.ports import OpenHours, StudioHours
from orders.errors import NothingInTheBox, OrderClosed, OrderRefused, ScaleDisagrees, StalePreview
from orders.models import Order, Parcel
from orders.operations.packing import tick_piece
from orders.operations.shipping import collected_at, note_carrier, ship_parcel
from orders.operations.undoing import undo_ship_parcel
from production.models import Piece, Weighing
from tests.factories.inventory import MONDAY, a_tap, held
from tests.factories.orders import PIECE, a_piece, a_range, an_order
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

HOURS = StudioHours(
    zone=ZoneInfo("Europe/London"),
    weekly=tuple(OpenHours(day, time(8), time(17), 1) for day in range(5)),
    closed_days=frozenset(),
)


def packed(made, wanted=2, ticked=2, **fields):
    """An order with so many pieces ticked, and the marks in the box."""
    order = an_order((made.tray, made.rust, wanted), **fields)
    pieces = [a_piece(made.tray, made.rust) for _ in range(ticked)]
    for piece in pieces:
        tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)
    return order, [piece.mark for piece in pieces]


def ship(order, marks, tap=None, **given):
    return ship_parcel(**(tap or a_tap()), order_id=order.pk, marks=marks, hours=HOURS, **given)


def weighing_500_g(marks):
    for piece in Piece.objects.filter(mark__in=marks):
        Weighing.objects.create(piece=piece, weighed_at=MONDAY, mass_mg=500_000)


def test_the_scale_is_checked_against_the_sum_and_can_be_overruled(made):
    order, marks = packed(made)
    weighing_500_g(marks)

    with pytest.raises(
        ScaleDisagrees, match="600 g, 400 g less than the pieces come to .* Is a piece missing"
    ):
        ship(order, marks, weight_mg=600_000)
    assert Order.objects.get().closed_at is None
    ship(order, marks, weight_mg=600_000, as_weighed=True)

    parcel = Parcel.objects.get()
    assert (parcel.weight_mg, parcel.pieces_mg) == (600_000, 1_000_000)


def test_what_boxes_weighed_before_makes_the_check_sharper(made):
    for weight in (1_140_000, 1_150_000, 1_160_000):
        order, marks = packed(made)
        weighing_500_g(marks)
        ship(order, marks, weight_mg=weight)
    order, marks = packed(made)
    weighing_500_g(marks)

    with pytest.raises(ScaleDisagrees, match="1.65 kg, 500 g more than the pieces and the box come to"):
        ship(order, marks, weight_mg=1_650_000)


def test_other_packaging_is_drawn_and_noted_and_undone(made):
    order, marks = packed(made)
    done = ship(order, marks, packaging={str(made.box.pk): PIECE}, carrier=" Invented Post ", tracking="IP 7")

    assert boxes(made) == 19
    parcel = Parcel.objects.get()
    assert [(row.material_id, row.amount) for row in parcel.packaging.all()] == [(made.box.pk, PIECE)]
    assert (parcel.carrier, parcel.tracking) == ("Invented Post", "IP 7")
    undo_ship_parcel(**a_tap(), act_id=done.act_id)
    assert boxes(made) == 20
    assert not parcel.packaging.exists()


def test_the_carrier_can_be_noted_after_it_left(made):
    order, marks = packed(made)
    ship(order, marks)

    note_carrier(**a_tap(), parcel_id=Parcel.objects.get().pk, carrier="Invented Post", tracking="IP 8")

    assert Parcel.objects.get().tracking == "IP 8"


def boxes(made):
    return held(Container.objects.get(material=made.box)) // PIECE


def test_a_full_box_ships_closes_the_order_and_draws_its_packaging(made):
    order, marks = packed(made)

    done = ship(order, marks)

    assert done.said == f"{order.number} shipped 09:00. 2 pieces. Undo until 17:00."
    order.refresh_from_db()
    assert (order.closed_at, order.called_off) == (MONDAY, False)
    assert set(Piece.objects.values_list("shipped_at", flat=True)) == {MONDAY}
    assert Parcel.objects.get().shipped_at == MONDAY
    assert boxes(made) == 18
    entry = Entry.objects.get(destination__kind="parcel")
    assert (entry.amount, entry.posting.reason) == (2 * PIECE, f"order {order.number}")


def test_doing_it_twice_does_nothing(made):
    order, marks = packed(made)
    tap = a_tap()
    ship(order, marks, tap)

    assert ship(order, marks, tap).again
    with pytest.raises(OrderClosed, match="was shipped in full"):
        ship(order, marks)
    assert (boxes(made), Parcel.objects.count()) == (18, 1)


def test_a_box_that_lacks_pieces_ships_only_when_that_is_meant(made):
    order, marks = packed(made, wanted=3, ticked=2)

    with pytest.raises(OrderRefused, match="1 piece of .* not in the box"):
        ship(order, marks)
    assert not Piece.objects.filter(shipped_at__isnull=False).exists()

    done = ship(order, marks, in_part=True)

    assert done.said == f"{order.number} shipped 09:00. 2 of 3 pieces. Undo until 17:00."
    order.refresh_from_db()
    assert order.closed_at is None


def test_the_rest_of_a_part_parcel_follows_in_the_next_and_closes_the_order(made):
    order, marks = packed(made, wanted=3, ticked=2)
    ship(order, marks, in_part=True)
    last = a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=order.pk, mark=last.mark)

    ship(order, [last.mark])

    order.refresh_from_db()
    assert order.closed_at == MONDAY
    assert list(Parcel.objects.values_list("number", "pieces")) != []
    assert list(Parcel.objects.order_by("number").values_list("number", flat=True)) == [1, 2]
    assert boxes(made) == 17


def test_an_empty_box_does_not_ship(made):
    order = an_order((made.tray, made.rust, 1))

    with pytest.raises(NothingInTheBox):
        ship(order, [])


def test_a_box_that_changed_since_the_page_was_shown_does_not_ship(made):
    order, marks = packed(made)

    with pytest.raises(StalePreview, match="box changed on another screen"):
        ship(order, marks[:1], in_part=True)
    assert boxes(made) == 20


def test_without_packaging_in_the_stores_nothing_ships_unless_none_is_to_be_drawn():
    made = a_range(boxes=1)
    order, marks = packed(made)

    with pytest.raises(NotEnoughInContainer, match="1 pc of Post box, medium"):
        ship(order, marks)
    assert not Piece.objects.filter(shipped_at__isnull=False).exists()
    before = Posting.objects.count()

    ship(order, marks, take_packaging=False)

    assert Order.objects.get().closed_at == MONDAY
    assert Posting.objects.count() == before


@pytest.mark.parametrize(
    ("at", "until"),
    [
        (datetime(2026, 10, 5, 8, 0, tzinfo=UTC), datetime(2026, 10, 5, 16, 0, tzinfo=UTC)),
        (datetime(2026, 10, 5, 17, 30, tzinfo=UTC), datetime(2026, 10, 5, 18, 30, tzinfo=UTC)),
        (datetime(2026, 10, 10, 9, 0, tzinfo=UTC), datetime(2026, 10, 10, 10, 0, tzinfo=UTC)),
        # The clocks go back on 25 October 2026: closing at 17:00 is 17:00 UTC from then on.
        (datetime(2026, 10, 26, 9, 0, tzinfo=UTC), datetime(2026, 10, 26, 17, 0, tzinfo=UTC)),
    ],
)
def test_a_parcel_is_collected_at_closing_or_an_hour_after_shipping(at, until):
    assert collected_at(HOURS, at) == until


def test_on_a_closed_day_it_is_an_hour_after_shipping():
    closed = replace(HOURS, closed_days=frozenset({MONDAY.date()}))

    assert collected_at(closed, MONDAY) == MONDAY + timedelta(hours=1)


@pytest.mark.django_db(transaction=True)
def test_two_screens_shipping_one_box_at_once_ship_and_draw_once():
    made = a_range()
    order, marks = packed(made)

    answers = at_once(lambda: ship(order, marks), lambda: ship(order, marks))

    assert sum(isinstance(answer, OrderClosed) for answer in answers) == 1
    assert boxes(made) == 18
