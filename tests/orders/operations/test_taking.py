"""Orders typed by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from orders.errors import OrderRefused
from orders.models import Customer, Order
from orders.operations.taking import type_order
from production.models import Article
from tests.factories.inventory import a_tap
from tests.factories.orders import TODAY, a_market_day, a_new_order, a_range, an_order
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


@pytest.mark.django_db(transaction=True)
def test_two_screens_typing_the_same_number_at_once_keep_one_order():
    made = a_range()
    order = a_new_order([(made.tray, made.rust, 1)], number="1041")

    answers = at_once(lambda: type_order(**a_tap(), order=order), lambda: type_order(**a_tap(), order=order))

    assert sum(isinstance(answer, OrderRefused) for answer in answers) == 1
    assert Order.objects.count() == 1
