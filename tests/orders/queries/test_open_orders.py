"""The Orders page."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.models import Order
from orders.operations.changing import call_off
from orders.operations.packing import tick_piece
from orders.queries.open_orders import closed_orders, open_orders
from production.models import PlannedLine
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_market_day, a_piece, an_order
from tests.factories.production import a_plan, a_planned_mix
from tests.orders.operations.test_shipping import HOURS, packed, ship

pytestmark = pytest.mark.django_db


def days(now=MONDAY):
    return list(open_orders(now=now, hours=HOURS).days)


def planned(order, packed_at, days_late=0):
    """The newest plan packs every line of the order at that moment."""
    plan = a_plan()
    for line in order.lines.all():
        PlannedLine.objects.create(
            plan=plan, wanted_by=f"line:{line.pk}", label=order.number, article=line.article,
            colour=line.colour, quantity=line.quantity, ship_by=order.ship_by, packed_at=packed_at,
            days_late=days_late,
        )  # fmt: skip


def test_orders_stand_under_the_day_they_leave(made):
    an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=4), number="1044")
    an_order((made.tray, made.rust, 1), ship_by=TODAY, number="1041")
    an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=4), number="1045")

    assert [(day.heading, [row.number for row in day.rows]) for day in days()] == [
        ("Leaves today", ["1041"]),
        ("Leaves Fri 9", ["1044", "1045"]),
    ]


def test_an_order_that_should_have_left_says_so(made):
    an_order((made.tray, made.rust, 1))
    Order.objects.update(ship_by=TODAY - timedelta(days=3))

    (day,) = days()

    assert day.heading == "Should have left Fri 2"
    assert (day.rows[0].end, day.rows[0].is_late) == ("late 3 d", True)


def test_ready_pieces_can_be_packed_and_say_what_is_in_the_box(made):
    order = an_order((made.tray, made.rust, 2), (made.cup, made.slate, 2))
    pieces = [a_piece(made.tray, made.rust) for _ in range(2)] + [
        a_piece(made.cup, made.slate) for _ in range(2)
    ]
    for piece in pieces[:3]:
        tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)

    (row,) = days()[0].rows

    assert (row.sentence, row.can_pack) == ("all 4 ready, 3 in the box", True)
    assert [piece.state for piece in row.pieces] == ["filled"] * 4


def test_pieces_are_drawn_by_how_they_stand(made):
    an_order((made.tray, made.rust, 3))
    a_piece(made.tray, made.rust)
    a_piece(made.tray, made.rust, ready_at=None, out_at=MONDAY, last_step_at=MONDAY)

    (row,) = days()[0].rows

    assert [(piece.state, piece.silhouette) for piece in row.pieces] == [
        ("filled", "tray"),
        ("wet", "tray"),
        ("open", "tray"),
    ]
    assert row.pieces[1].water == 1.0
    assert row.sentence == "1 of 3 ready, 1 drying, 1 not poured"
    assert row.end == ""


def test_the_plan_says_when_it_is_ready_and_what_is_spare(made):
    order = an_order((made.tray, made.rust, 2))  # leaves Friday at closing, 17:00 in London
    planned(order, MONDAY + timedelta(days=3, hours=4))  # Thursday 13:00
    line = order.lines.get()
    a_planned_mix(
        made.tray, made.rust, wanted_by=f"line:{line.pk}", starts_at=MONDAY + timedelta(days=2), pieces=2
    )

    (row,) = days()[0].rows

    assert row.sentence == "to pour Wed 7, 09:00, ready Thu 8, 13:00"
    assert (row.end, row.is_late) == ("spare 1 d 4 h", False)


def test_what_the_plan_packs_after_its_day_is_late_by_begun_days(made):
    order = an_order((made.tray, made.rust, 2))
    planned(order, MONDAY + timedelta(days=5), days_late=1)

    assert (days()[0].rows[0].end, days()[0].rows[0].is_late) == ("late 1 d", True)


def test_many_pieces_are_drawn_up_to_a_row_and_counted_beyond(made):
    a_market_day((made.tray, made.rust, 40), on=TODAY + timedelta(days=5))

    (row,) = days()[0].rows

    assert (len(row.pieces), row.more, row.who) == (16, 24, "market day")


@pytest.mark.parametrize(
    ("orders", "markets", "said"),
    [
        (0, 0, "No open orders"),
        (1, 0, "1 order open, none leaves late"),
        (2, 1, "2 orders and 1 market day open, none leaves late"),
    ],
)
def test_the_statement(made, orders, markets, said):
    for _ in range(orders):
        an_order((made.tray, made.rust, 1))
    for _ in range(markets):
        a_market_day((made.tray, made.rust, 1), on=TODAY + timedelta(days=5))

    assert open_orders(now=MONDAY, hours=HOURS).statement == said


def test_late_orders_are_counted_in_the_statement(made):
    for _ in range(2):
        an_order((made.tray, made.rust, 1))
    Order.objects.update(ship_by=TODAY - timedelta(days=1))

    assert open_orders(now=MONDAY, hours=HOURS).statement == "2 orders open, two leave late"


def test_more_orders_than_fit_a_page_go_on_with_the_next(made, monkeypatch):
    monkeypatch.setattr("orders.queries.open_orders.ORDERS_A_PAGE", 2)
    for place in range(3):
        an_order((made.tray, made.rust, 1), number=f"104{place}")

    first, last, beyond = (open_orders(now=MONDAY, hours=HOURS, page=page) for page in (1, 2, 99))

    assert [row.number for day in first.days for row in day.rows] == ["1040", "1041"]
    assert [row.number for day in last.days for row in day.rows] == ["1042"]
    assert beyond == last
    assert first.statement == "3 orders open, of the 2 here none leaves late"


def test_closed_orders_are_told_apart(made):
    order, marks = packed(made)
    ship(order, marks)
    off = an_order((made.tray, made.rust, 1))
    call_off(**a_tap(now=MONDAY + timedelta(hours=1)), order_id=off.pk)

    assert days() == []
    assert [(row.number, row.called_off) for row in closed_orders()] == [
        (off.number, True),
        (order.number, False),
    ]


def test_the_page_takes_the_same_queries_for_few_and_for_many(made, django_assert_num_queries):
    an_order((made.tray, made.rust, 1))
    a_piece(made.tray, made.rust)
    with django_assert_num_queries(11):
        days()
    for _ in range(10):
        an_order((made.tray, made.rust, 2), (made.cup, made.slate, 2))
        a_piece(made.tray, made.rust)
        a_piece(made.cup, made.slate, ready_at=None)

    with django_assert_num_queries(11):
        days()
