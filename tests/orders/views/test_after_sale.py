"""What came back, through its pages."""

from __future__ import annotations

from uuid import uuid4

import pytest

from orders.models import Order, Return
from orders.queries.breakage import breakage
from tests.factories.inventory import MONDAY
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def test_a_broken_piece_is_noted_replaced_and_counted_by_its_box(signed_in, studio_open, made):
    order, marks = packed(made)
    ship(order, marks)
    at = f"/orders/order/{order.number}"

    assert marks[0] in signed_in.get(f"{at}/came-back/").content.decode()
    refused = signed_in.post(f"{at}/came-back/", {"request_key": uuid4(), "why": "fault"})
    assert "Tick which piece it is." in refused.content.decode()
    typed = {"marks": [marks[0]], "why": "broken in post", "outcome": "scrap"}
    shown = signed_in.post(
        f"{at}/came-back/", {"request_key": uuid4(), **typed}, follow=True
    ).content.decode()
    assert f"{marks[0]} of {order.number}: broken in post, scrap." in shown
    assert "Send a replacement" in shown
    made_in_place = signed_in.post(
        f"{at}/replace/", {"request_key": uuid4(), "ship_by": "2099-10-12"}, follow=True
    ).content.decode()

    assert f'Replaces pieces of <a href="{at}/">{order.number}</a>' in made_in_place
    assert Return.objects.get().replaced_by == Order.objects.get(number=f"{order.number}-R")
    (row,) = breakage(now=MONDAY)
    assert (row.packed_in, row.parcels, row.pieces, row.broken) == ("Post box, medium", 1, 2, 1)


def test_breakage_is_a_page_and_a_file(signed_in, studio_open, made, monkeypatch):
    order, marks = packed(made)
    ship(order, marks)
    monkeypatch.setattr("orders.queries.breakage.LOOKS_BACK", MONDAY - MONDAY.replace(year=2000))

    page = signed_in.get("/orders/breakage/").content.decode()
    file = signed_in.get("/orders/breakage/?as=csv").content.decode()

    assert "Post box, medium" in page
    assert file.splitlines()[0] == "packed in,parcels,pieces,broken,broken from %,broken to %"
    assert file.splitlines()[1].startswith('"Post box, medium",1,2,0,0.0,')
