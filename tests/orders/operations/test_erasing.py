"""Forgetting a customer."""

from __future__ import annotations

import pytest

from inventory.models import Act
from orders.errors import NoSuchOrder, NotToErase, UploadGone
from orders.models import Customer, Order
from orders.operations.erasing import erase_customer
from orders.operations.uploads import load_upload
from orders.queries.trace import went_to
from production.models import Piece
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import an_order
from tests.orders.operations.test_importing import uploaded
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def test_name_address_and_messages_go_and_everything_else_stays(made):
    order, marks = packed(made, gift_message="For Ruff Sands", note="rang Ruff Sands", customer="Ruff Sands")
    ship(order, marks)
    totals = (Order.objects.count(), Piece.objects.filter(shipped_at__isnull=False).count())

    done = erase_customer(**a_tap(), customer_id=order.customer_id)

    assert done.said == f"Name and address of {order.number} erased. Orders and traces stay."
    customer = Customer.objects.get()
    assert (customer.name, customer.address, customer.erased_at) == ("name erased", "", MONDAY)
    order.refresh_from_db()
    assert (order.gift_message, order.note) == ("", "")
    assert (Order.objects.count(), Piece.objects.filter(shipped_at__isnull=False).count()) == totals
    assert {went.number for went in went_to(Piece.objects.values_list("pk", flat=True)).values()} == {
        order.number
    }


def test_no_name_or_address_is_left_in_the_history_of_acts(made):
    order, marks = packed(made, customer="Ruff Sands", address="9 Hidden Creek")
    ship(order, marks)
    erase_customer(**a_tap(), customer_id=order.customer_id)

    written = " ".join(f"{act.said} {act.answer}" for act in Act.objects.all())
    assert "Ruff" not in written
    assert "Hidden Creek" not in written


def test_uploaded_files_are_forgotten_since_one_may_hold_the_address(made):
    upload = uploaded()
    order, marks = packed(made)
    ship(order, marks)

    erase_customer(**a_tap(), customer_id=order.customer_id)

    with pytest.raises(UploadGone):
        load_upload(upload.token)


def test_a_customer_who_waits_for_a_parcel_is_not_erased(made):
    order = an_order((made.tray, made.rust, 1))

    with pytest.raises(NotToErase, match=f"{order.number} is open and needs the address"):
        erase_customer(**a_tap(), customer_id=order.customer_id)
    assert Customer.objects.get().name == "Sandpiper Low"


def test_an_erased_customer_is_not_taken_for_a_new_one(made):
    order, marks = packed(made)
    ship(order, marks)
    erase_customer(**a_tap(), customer_id=order.customer_id)

    again = an_order((made.tray, made.rust, 1))

    assert again.customer.name == "Sandpiper Low"
    assert Customer.objects.count() == 2


def test_a_customer_that_is_not_there_is_refused(made):
    with pytest.raises(NoSuchOrder):
        erase_customer(**a_tap(), customer_id=99)
