"""A usual order, typed with the keyboard alone."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from orders.models import Order
from tests.factories.orders import a_range, an_order

KEYS_A_SECOND = 4
SECONDS_MOST = 30


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_usual_order_takes_less_than_thirty_seconds_of_keys(live_server, signed_in_page, page_desk):
    """From memory: somebody who types with some practice strikes four to five keys a second."""
    made = a_range()
    an_order(
        (made.tray, made.slate, 1),
        number="1041",
        ship_by=timezone.localdate() + timedelta(days=3),
        ordered_on=timezone.localdate(),
        now=timezone.now(),
    )
    page = signed_in_page(page_desk)
    page.goto(f"{live_server.url}/orders/type/")
    strokes = 0

    def strike(*keys):
        nonlocal strokes
        for key in keys:
            page.keyboard.press(key)
            strokes += 1

    ship_by = timezone.localdate() + timedelta(days=9)
    assert page.evaluate("document.activeElement.name") == "ship_by"
    strike(*f"{ship_by:%m%d%Y}", "Tab", "Tab")
    assert page.evaluate("document.activeElement.name") == "customer"
    strike(*"Sandpiper Low", "Tab", *"3 Invented Row", "Enter", *"Nowhere-on-Mud", "Tab", "Tab")
    strike("F", "Tab", "2")
    strike("Enter")
    page.wait_for_url("**/orders/order/**")

    order = Order.objects.get(number="1042")
    assert (order.customer.name, order.ship_by) == ("Sandpiper Low", ship_by)
    assert order.customer.address == "3 Invented Row\nNowhere-on-Mud"
    assert order.lines.get().quantity == 2
    assert strokes / KEYS_A_SECOND < SECONDS_MOST
