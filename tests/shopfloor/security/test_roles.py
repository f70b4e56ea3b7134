"""A request of each role to every address: visitor, program, helper, owner by PIN, owner."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import URLPattern

from shopfloor.journeys.demo.loading import load_demo
from shopfloor.studio.operations.bench_tablet import keep_pin
from shopfloor.studio.port import LiveStudio
from tests.house.test_django import WITHOUT_SIGN_IN, all_routes, fitted
from tests.journeys.screens import Screen
from tests.shopfloor.security.fuzzing import route_of

pytestmark = [pytest.mark.django_db, pytest.mark.once]
# Signing out would make the rest of the walk somebody else's.
ENDS_IT = {"sign-out", "person-change"}
PRICE = re.compile(r"£\s?\d|\d\s?GBP|GBP\s?\d")


@pytest.fixture
def owner_by_pin(owner: User, signed_in: Client) -> Client:
    """The owner, come in by a PIN at the bench tablet."""
    signed_in.post("/studio/bench-tablet/")
    keep_pin(owner.pk, "805291")
    signed_in.post("/bench-tablet/", {"person": owner.pk, "pin": "805291"})
    return signed_in


def test_every_address_is_open_to_its_roles_and_to_nobody_else(
    signed_in_helper, owner_by_pin, owner, studio_open
):
    full, visitor = Client(), Client()
    full.force_login(owner)
    wrong = []

    def ask(name: str, client: Client, address: str, pattern: URLPattern) -> None:
        owners = pattern.callback.role == "owner"
        for method in ("get", "post"):
            answer = getattr(client, method)(fitted(address))
            led_away = answer.status_code == 302 and answer.url.startswith(("/sign-in/", "/bench-tablet/"))
            refused = answer.status_code == 403 or (method == "get" and answer.status_code == 405)
            fits = {
                "visitor": led_away or pattern.callback.role in WITHOUT_SIGN_IN,
                "owner": answer.status_code != 403 and not led_away,
            }.get(name, refused if owners else answer.status_code != 403)
            if not fits:
                wrong.append(f"{name} {method} {address}: {answer.status_code}")

    for address, pattern in all_routes():
        if pattern.name in ENDS_IT or pattern.callback.role == "client":
            continue
        ask("visitor", visitor, address, pattern)
        ask("helper", signed_in_helper, address, pattern)
        if pattern.callback.role == "owner":
            ask("owner by PIN", owner_by_pin, address, pattern)
            ask("owner", full, address, pattern)

    assert wrong == []


def test_a_helper_finds_no_price_on_any_page(owner, signed_in_helper, tmp_path: Path):
    """Every page a helper can reach by what pages show, one of each route."""
    load_demo(now=LiveStudio().now(), folder=tmp_path, by=owner.pk)
    waiting = ["/" + address for address, _ in all_routes() if "<" not in address]
    seen: set[str] = set()
    priced = []
    while waiting:
        address = waiting.pop(0)
        route = route_of(urlsplit(address).path)
        if not route or route in seen:
            continue
        seen.add(route)
        answer = signed_in_helper.get(address)
        if answer.status_code != 200 or not answer["Content-Type"].startswith(("text/html", "text/csv")):
            continue
        page = (b"".join(answer.streaming_content) if answer.streaming else answer.content).decode()
        priced += [
            f"{address}: {page[max(0, at.start() - 40) : at.end() + 9]!r}" for at in PRICE.finditer(page)
        ]
        if not answer.streaming:
            waiting += [link.split("#")[0] for link, _ in Screen(answer, address).links if link[:1] == "/"]

    assert len(seen) > 50
    assert priced == []
