"""A request of each role to every address: visitor, program, helper, owner by PIN, owner."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import URLPattern

from shopfloor.studio.operations.bench_tablet import keep_pin
from tests.house.test_django import WITHOUT_SIGN_IN, all_routes, fitted

pytestmark = [pytest.mark.django_db, pytest.mark.once]
# Signing out would make the rest of the walk somebody else's.
ENDS_IT = {"sign-out", "person-change"}


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
