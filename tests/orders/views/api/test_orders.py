"""Orders over HTTP, as a shop's program would keep them."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from orders.models import ApiClient, Order, OrderLine
from orders.operations.clients import let_client_in, token_digest
from tests.factories.inventory import a_tap

pytestmark = pytest.mark.django_db
TOKEN = "t" * 43


@pytest.fixture
def shop(made, studio_open):
    """A program that may do everything, with its token in the header of every request."""
    let_client_in(
        **a_tap(),
        name="Shop",
        scopes=["orders:read", "orders:write", "stores:read"],
        digest=token_digest(TOKEN),
    )
    return Client(headers={"authorization": f"Bearer {TOKEN}"})


def soon(days=6):
    return (timezone.localdate() + timedelta(days=days)).isoformat()


def wanted(**more):
    lines = [{"article": "ferry tray", "colour": "Rust", "quantity": 2}]
    return {"number": "W-7", "customer": "Sandpiper Low", "ship_by": soon(), "lines": lines, **more}


def post(client, content, path="/api/orders", key=None, method="post"):
    headers = {"idempotency-key": f'"{key or uuid4()}"'}
    return getattr(client, method)(path, content, content_type="application/json", headers=headers)


def test_an_order_is_kept_and_read_back_and_says_which_program_it_came_from(shop, made):
    kept = post(shop, wanted(address=["3 Invented Row", "Nowhere-on-Mud"], gift_message="For you"))

    read = shop.get(kept.json()["order"])

    assert (kept.status_code, read.status_code) == (201, 200)
    assert kept["Location"] == "/api/orders/W-7"
    assert read.json()["state"] == "open"
    assert read.json()["came_from"] == "Shop"
    assert read.json()["address"] == ["3 Invented Row", "Nowhere-on-Mud"]
    assert read.json()["lines"] == [
        {
            "article": "Ferry tray",
            "colour": "Rust",
            "quantity": 2,
            "seconds_do": False,
            "kept": 0,
            "shipped": 0,
        }
    ]


def test_how_much_lateness_counts_is_kept_changed_and_held_to_its_words(shop):
    kept = post(shop, wanted(late_counts=2)).json()["order"]
    assert shop.get(kept).json()["late_counts"] == 2

    assert post(shop, {"late_counts": 4}, path=kept, method="patch").status_code == 200
    assert shop.get(kept).json()["late_counts"] == 4
    refused = post(shop, {"late_counts": 3}, path=kept, method="patch")
    assert refused.json()["errors"] == [{"pointer": "#/late_counts", "detail": "is none of 1, 2, 4."}]


def test_the_same_key_gets_the_same_answer_and_keeps_nothing_twice(shop):
    key, content = uuid4(), wanted()
    first, second = post(shop, content, key=key), post(shop, content, key=key)

    other = post(shop, wanted(number="W-8"), key=key)

    assert (first.status_code, first.json()) == (second.status_code, second.json())
    assert Order.objects.count() == 1
    assert other.status_code == 422
    assert other["Content-Type"] == "application/problem+json"
    assert other.json()["type"] == "urn:shopfloor:problem:key-used"


def test_a_refusal_keeps_nothing_and_its_key_can_be_used_again(shop):
    key = uuid4()
    lines = [{"article": "Fery tray", "colour": "Rust", "quantity": 2}]

    refused = post(shop, wanted(lines=lines), key=key)

    assert refused.status_code == 422
    assert refused.json()["errors"] == [
        {"pointer": "#/lines/0/article", "detail": "Fery tray is not in the Range."}
    ]
    assert not Order.objects.exists()
    assert post(shop, wanted(), key=key).status_code == 201


def test_every_fault_of_the_content_is_named_with_its_place(shop):
    content = wanted(ship_by="soon", colour="red", lines=[{"article": "Ferry tray", "quantity": 0}])

    refused = post(shop, content)

    assert {one["pointer"] for one in refused.json()["errors"]} == {
        "#/ship_by",
        "#/colour",
        "#/lines/0/colour",
        "#/lines/0/quantity",
    }


def test_an_order_is_changed_and_called_off_and_says_what_that_frees(shop, made):
    post(shop, wanted())
    lines = [{"article": "Ferry tray", "colour": "Slate", "quantity": 1, "seconds_do": True}]

    changed = post(shop, {"lines": lines}, "/api/orders/W-7", method="patch")
    off = post(shop, {}, "/api/orders/W-7/call-off")
    again = post(shop, {}, "/api/orders/W-7/call-off")

    assert "2 pieces need not be made" in changed.json()["said"]
    assert OrderLine.objects.get().seconds_do
    assert (off.status_code, again.status_code) == (200, 409)
    assert shop.get("/api/orders/W-7").json()["state"] == "called off"


def test_orders_come_in_pages(shop):
    for number in range(3):
        post(shop, wanted(number=f"W-{number}"))

    first = shop.get("/api/orders?limit=2&open=true").json()
    second = shop.get(first["next"]).json()

    assert [one["number"] for one in first["orders"]] == ["W-0", "W-1"]
    assert [one["number"] for one in second["orders"]] == ["W-2"]
    assert "next" not in second


def test_a_token_opens_only_what_its_scopes_say_and_nothing_once_it_is_ended(shop):
    ApiClient.objects.update(scopes=["stores:read"])
    kept_out = shop.get("/api/orders")
    let_in = shop.get("/api/stores")
    ApiClient.objects.update(ended_at=timezone.now())

    ended = shop.get("/api/stores")

    assert (kept_out.status_code, let_in.status_code, ended.status_code) == (403, 200, 401)
    assert ended["WWW-Authenticate"] == 'Bearer realm="studio"'
    assert {one["name"] for one in let_in.json()["materials"]} >= {"Post box, medium"}


def test_a_program_that_asks_too_often_is_told_to_wait(shop, settings):
    settings.API_REQUESTS_A_MINUTE = 2

    codes = [shop.get("/api/range").status_code for _ in range(3)]

    assert codes == [200, 200, 429]
    assert 0 < int(shop.get("/api/range")["Retry-After"]) <= 60


@pytest.mark.parametrize(
    ("content", "kind", "code"),
    [
        (b"{", "application/json", 400),
        (b'{"number": "\\ud800"}', "application/json", 400),
        (b"number=1", "application/x-www-form-urlencoded", 415),
        (b" " * 200_001, "application/json", 413),
        (b"[]", "application/json", 422),
    ],
)
def test_what_is_no_request_is_refused_in_words(shop, content, kind, code):
    refused = shop.post("/api/orders", content, content_type=kind)

    assert (refused.status_code, refused["Content-Type"]) == (code, "application/problem+json")
    assert refused.json()["detail"]


def test_a_day_is_promised_without_keeping_anything(shop):
    asked = {"lines": wanted()["lines"]}

    found = shop.post("/api/promise", asked, content_type="application/json").json()

    assert found["lines"] == [found["earliest"]]
    assert not Order.objects.exists()
