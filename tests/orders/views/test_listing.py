"""The Orders page, closed orders and shelf wishes in the browser's eyes."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from orders.models import ShelfWish
from orders.operations.taking import type_order
from tests.factories.orders import a_new_order, a_piece, an_order
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def test_an_empty_page_says_what_the_week_is_planned_for_and_what_to_do(signed_in, studio_open):
    page = signed_in.get("/orders/").content.decode()

    assert "No open orders. Shelf stock is what the week is planned for." in page
    assert "Import orders" in page


def test_open_orders_are_listed_with_their_silhouettes(signed_in, studio_open, made):
    order = an_order((made.tray, made.rust, 2))
    a_piece(made.tray, made.rust)

    page = signed_in.get("/orders/").content.decode()

    assert f"/orders/order/{order.number}/" in page
    assert "Ferry tray in Rust: not poured" in page


def test_a_helper_sees_the_orders_too_and_a_stranger_signs_in(signed_in_helper, client, studio_open, made):
    assert signed_in_helper.get("/orders/").status_code == 200
    assert client.get("/orders/").status_code == 302


def test_what_was_done_to_orders_in_the_past_day_can_be_undone(signed_in, studio_open, made):
    tray = a_new_order(
        [(made.tray, made.rust, 2)], number="1041", ship_by=timezone.localdate() + timedelta(days=9)
    )
    done = type_order(request_key=uuid4(), now=timezone.now(), order=tray)

    page = signed_in.get("/orders/lately/").content.decode()

    assert "1041 kept: 2 pieces" in page
    assert f"/undo/{done.act_id}/" in page


def test_closed_orders_are_a_table(signed_in, studio_open, made):
    order, marks = packed(made)
    ship(order, marks)

    page = signed_in.get("/orders/closed/?sort=ship_by").content.decode()

    assert order.number in page
    assert "shipped" in page


def test_a_wish_is_kept_and_a_wrong_one_stays_as_typed(signed_in, studio_open, made):
    what = f"{made.tray.pk}:{made.rust.pk}"
    answer = signed_in.post("/orders/shelf-wishes/", {"what": what, "level": "4", "request_key": uuid4()})
    assert answer.status_code == 302
    assert ShelfWish.objects.get().level == 4

    key = str(uuid4())
    refused = signed_in.post("/orders/shelf-wishes/", {"what": what, "level": "900", "request_key": key})

    page = refused.content.decode()
    assert refused.status_code == 422
    assert 'value="900"' in page
    assert key in page
    assert ShelfWish.objects.get().level == 4


def test_the_page_takes_the_same_queries_for_few_and_many(
    signed_in, studio_open, made, django_assert_max_num_queries
):
    for _ in range(8):
        an_order((made.tray, made.rust, 2), (made.cup, made.slate, 1))
        a_piece(made.tray, made.rust)

    with django_assert_max_num_queries(24):
        signed_in.get("/orders/")
