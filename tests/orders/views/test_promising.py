"""What is said while an order is typed, before anything is kept."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from orders.models import Order, ShelfWish
from tests.factories.orders import a_piece, an_order

pytestmark = pytest.mark.django_db


def promise(client, made, **typed) -> str:
    given = {"what_1": f"{made.tray.pk}:{made.rust.pk}", "count_1": "2", "rows": "3", **typed}
    answer = client.get("/orders/promise/", given)
    assert answer.status_code == 200
    return re.sub(r"<[^>]+>|\s+", " ", answer.content.decode()).strip()


def day(days: int):
    return timezone.localdate() + timedelta(days=days)


def test_nothing_is_said_before_a_row_is_whole(signed_in, studio_open, made):
    assert promise(signed_in, made, count_1="") == ""
    assert promise(signed_in, made, what_1="7:x") == ""
    assert promise(signed_in, made, count_1="0") == ""
    assert promise(signed_in, made, what_1="999999:999999") == ""


def test_the_earliest_day_and_its_limit_are_said_and_nothing_is_kept(signed_in, studio_open, made):
    said = promise(signed_in, made)

    assert re.fullmatch(
        r"Earliest: [A-Z][a-z]{2} \d+ [A-Z][a-z]{2}\. +(.* the limit\.|It takes that long by itself\.)", said
    )
    assert not Order.objects.exists()


def test_each_row_has_its_own_day(signed_in, studio_open, made):
    said = promise(signed_in, made, what_2=f"{made.cup.pk}:{made.slate.pk}", count_2="1")

    assert "2 Ferry tray, Rust:" in said
    assert "1 Cockle tea-light cup, filled, Slate:" in said


def test_pieces_on_the_shelf_leave_today_even_if_a_wish_has_them(signed_in, studio_open, made):
    ShelfWish.objects.create(article=made.tray, colour=made.rust, level=2)
    for _ in range(2):
        a_piece(made.tray, made.rust)
    today = timezone.localdate()

    said = promise(signed_in, made)

    assert said == f"Earliest: {today:%a} {today.day} {today:%b}."


def test_a_day_that_can_be_kept_is_said_and_one_that_cannot_by_how_much(signed_in, studio_open, made):
    assert promise(signed_in, made, ship_by=day(30).isoformat()).endswith("can be kept.")
    soon = promise(signed_in, made, ship_by=day(0).isoformat())
    assert re.search(r"cannot be kept: \d+ d late even before everything else", soon)


def test_it_costs_the_same_queries_however_many_orders_there_are(signed_in, studio_open, made):
    counts = []
    for more in (1, 6):
        for _ in range(more):
            an_order((made.tray, made.rust, 2), ship_by=day(9))
        with CaptureQueriesContext(connection) as queries:
            promise(signed_in, made, ship_by=day(0).isoformat())
        counts.append(len(queries))

    assert counts[0] == counts[1]


def test_the_form_asks_for_it_without_the_customers_address(signed_in, studio_open, made):
    page = signed_in.get("/orders/type/").content.decode()

    asks = re.search(r'<div class="promise"[^>]*>', page).group()
    assert 'hx-get="/orders/promise/"' in asks
    for left_out in ("customer", "address", "gift_message", "note"):
        assert left_out in re.search(r'hx-params="not ([^"]*)"', asks).group(1).split(",")
