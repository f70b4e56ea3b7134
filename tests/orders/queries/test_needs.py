"""What packing will take out of the stores."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.models import Order
from orders.queries.needs import packaging_draws
from tests.factories.orders import PIECE, TODAY, an_order
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def test_packaging_is_drawn_on_the_day_an_order_leaves(made):
    an_order((made.tray, made.rust, 2), (made.cup, made.slate, 1))
    an_order((made.tray, made.rust, 3), ship_by=TODAY + timedelta(days=9))

    assert packaging_draws(TODAY) == {
        made.box.pk: [(TODAY + timedelta(days=4), 3 * PIECE), (TODAY + timedelta(days=9), 3 * PIECE)]
    }


def test_what_has_left_needs_nothing_and_what_is_late_counts_for_today(made):
    order, marks = packed(made, wanted=3, ticked=2)
    ship(order, marks, in_part=True)
    Order.objects.update(ship_by=TODAY - timedelta(days=2))

    assert packaging_draws(TODAY) == {made.box.pk: [(TODAY, PIECE)]}
