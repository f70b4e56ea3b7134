"""What can leave now, and what the rest waits for."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.queries.can_leave import can_leave
from tests.factories.inventory import MONDAY
from tests.factories.orders import TODAY, a_piece, an_order

pytestmark = pytest.mark.django_db


def look():
    from shopfloor.studio.port import LiveStudio

    return can_leave(now=MONDAY, hours=LiveStudio().hours)


def test_orders_stand_by_how_near_they_are_to_leaving(made, studio_open):
    an_order((made.tray, made.rust, 1), number="whole")
    a_piece(made.tray, made.rust)
    an_order((made.tray, made.slate, 1), number="tomorrow")
    out_at = MONDAY + timedelta(hours=20) - timedelta(hours=made.compound.dry_hours)
    a_piece(made.tray, made.slate, ready_at=None, out_at=out_at, last_step_at=out_at)
    an_order((made.cup, made.slate, 2), number="one thing")
    an_order((made.cup, made.slate, 1), (made.tray, made.rust, 1), number="two things")

    found = look()

    assert [row.number for row in found.now] == ["whole"]
    assert [row.number for row in found.tomorrow] == ["tomorrow"]
    (waits,) = found.one_thing
    assert waits.says == "waits for 2 Cockle tea-light cup, filled in Slate, not poured"
    assert (found.others, found.statement) == (1, "1 order can leave now, 1 more tomorrow")


def test_an_order_that_could_leave_with_a_piece_another_waits_with_is_offered_it(made, studio_open):
    an_order((made.tray, made.rust, 1), (made.cup, made.slate, 1), number="1041")
    later = an_order((made.tray, made.rust, 1), number="1045", ship_by=TODAY + timedelta(days=9))
    piece = a_piece(made.tray, made.rust)

    (offer,) = look().instead

    assert offer.number == "1045"
    assert [(one.line_id, one.mark, one.kept_for) for one in offer.pieces] == [
        (later.lines.get().pk, piece.mark, "1041")
    ]


def test_questions_to_the_database_do_not_grow_with_the_orders(
    made, studio_open, django_assert_max_num_queries
):
    for _ in range(4):
        an_order((made.tray, made.rust, 1))
        a_piece(made.tray, made.rust)

    with django_assert_max_num_queries(16):
        look()


def test_the_page_shows_it(signed_in, studio_open, made):
    an_order((made.tray, made.rust, 1), number="1041")

    page = signed_in.get("/orders/can-leave/").content.decode()

    assert "No order can leave now" in page
    assert "Waits for 1 Ferry tray in Rust, not poured" in page
