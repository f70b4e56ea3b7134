"""One customer: what is held, and forgetting."""

from __future__ import annotations

import json
from uuid import uuid4

import pytest

from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def test_all_that_is_held_comes_as_a_file_and_nothing_after_erasing(signed_in, studio_open, made):
    order, marks = packed(made, gift_message="For Rill", note="Ring twice")
    ship(order, marks, carrier="Invented Post", tracking="IP 7")
    at = f"/orders/customer/{order.customer_id}"

    page = signed_in.get(f"{at}/").content.decode()
    held = json.loads(signed_in.get(f"{at}/held.json").content)

    assert order.number in page and "Trace all pieces" in page
    assert held["name"] == "Sandpiper Low"
    assert held["address"] == ["3 Invented Row", "Nowhere-on-Mud", "ZZ0 0ZZ"]
    (kept,) = held["orders"]
    assert (kept["gift_message"], kept["note"]) == ("For Rill", "Ring twice")
    assert kept["lines"] == [{"article": "Ferry tray", "colour": "Rust", "quantity": 2}]
    assert kept["parcels"][0]["tracking"] == "IP 7"
    assert kept["parcels"][0]["pieces"] == marks

    signed_in.post(f"{at}/erase/", {"request_key": uuid4()})
    left = signed_in.get(f"{at}/held.json").content.decode()
    for word in ("Sandpiper", "Invented Row", "For Rill", "Ring twice", "IP 7"):
        assert word not in left
    assert all(mark in left for mark in marks)


def test_a_customer_that_is_not_there_has_no_page(signed_in, studio_open):
    assert signed_in.get("/orders/customer/77/").status_code == 404
