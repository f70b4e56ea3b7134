"""Numbers a maker asks for."""

from __future__ import annotations

import csv
import io
from datetime import date, time, timedelta

import pytest

from inventory.ports import OpenHours
from orders.models import Order
from orders.queries.numbers import CAME_OUT_BADLY, NOT_KNOWN, READY_IN_TIME, hands_hours, numbers
from production.models import Cast, Piece
from shopfloor.studio.port import LiveStudio
from tests.factories.inventory import MONDAY
from tests.factories.orders import a_piece, an_order

pytestmark = pytest.mark.django_db


def shipped(made, days_after_ship_by, *, ready_days=-5, taken_days=5, wanted=1):
    """An order of trays that left so many days after its ship-by day; its pieces were ready before that."""
    order = an_order((made.tray, made.rust, wanted))
    ship_by, left_at = order.ship_by, MONDAY
    for _ in range(wanted):
        piece = a_piece(made.tray, made.rust)
        Piece.objects.filter(pk=piece.pk).update(
            shipped_at=left_at, ready_at=left_at + timedelta(days=ready_days)
        )
    ship_by = left_at.date() - timedelta(days=days_after_ship_by)
    Order.objects.filter(pk=order.pk).update(
        closed_at=left_at, ship_by=ship_by, ordered_on=left_at.date() - timedelta(days=taken_days)
    )
    return order


def found():
    return numbers(now=MONDAY, hours=LiveStudio().hours)


def test_orders_on_time_and_the_days_they_took(made, studio_open):
    shipped(made, 0, taken_days=4)
    shipped(made, -2, taken_days=6)
    shipped(made, 3, taken_days=11)

    month = found().months[-1]

    assert (month.shipped, month.on_time, month.on_time_percent) == (3, 2, 67)
    assert month.days == 6
    assert month.pieces_shipped == 3


def test_late_orders_say_why_as_far_as_the_records_tell(made, studio_open):
    shipped(made, 2, ready_days=-3)
    shipped(made, 2, ready_days=-1)
    badly = shipped(made, 2, ready_days=0)
    cast = Cast.objects.order_by("id").last()
    Cast.objects.filter(pk=cast.pk).update(wanted_by=f"line:{badly.lines.get().pk}", outcome="scrap")

    assert dict(found().reasons) == {READY_IN_TIME: 1, NOT_KNOWN: 1, CAME_OUT_BADLY: 1}


def test_what_sells_best_comes_first(made, studio_open):
    shipped(made, 0, wanted=2)

    (seller,) = found().sellers

    assert (seller.article, seller.colour, seller.pieces, seller.by_month[-1]) == ("Ferry tray", "Rust", 2, 2)


def test_hours_of_hands_count_each_pair_and_no_closed_day():
    weekly = (OpenHours(0, time(9), time(12), 2), OpenHours(1, time(9), time(10, 30), 1))

    # Mon 5, Mon 12 and Tue 13 October 2026: Tue 6 is closed.
    assert hands_hours(weekly, {date(2026, 10, 6)}, date(2026, 10, 5), date(2026, 10, 14)) == 6 + 6 + 1.5


def test_hours_of_hands_are_those_of_their_time():
    weekly = (
        OpenHours(0, time(9), time(12), 1, until=date(2026, 10, 12)),
        OpenHours(0, time(9), time(17), 1, since=date(2026, 10, 12)),
    )

    # Mondays 5, 12 and 19 October 2026.
    assert hands_hours(weekly, (), date(2026, 10, 5), date(2026, 10, 26)) == 3 + 8 + 8


def test_pieces_per_hour_count_hours_from_the_first_pour_on(made, studio_open):
    a_piece(made.tray, made.rust)
    before = OpenHours(MONDAY.weekday(), time(18), time(19), 1, until=MONDAY.date() + timedelta(days=1))

    with_before = numbers(now=MONDAY, hours=LiveStudio().hours, hours_before=[before])

    # Poured on Friday 2 October 2026: that day and Monday, 8 to 17 each.
    assert found().months[-1].hours == 18
    assert with_before.months[-1].hours == 19
    assert found().months[-2].hours == 0
    assert found().months[-2].per_hour is None


def test_a_market_day_is_neither_on_time_nor_late(made, studio_open):
    order = shipped(made, 2)
    Order.objects.filter(pk=order.pk).update(kind="market", customer=None)

    assert found().shipped == 0


def test_the_page_and_its_files(signed_in, studio_open, made):
    page = signed_in.get("/orders/numbers/")
    months = list(csv.DictReader(io.StringIO(signed_in.get("/orders/numbers/months.csv").content.decode())))

    assert "No order has left in twelve months" in page.content.decode()
    assert len(months) == 12
    assert months[-1]["orders shipped"] == "0"
    for name in ("late", "sellers"):
        assert signed_in.get(f"/orders/numbers/{name}.csv").status_code == 200
