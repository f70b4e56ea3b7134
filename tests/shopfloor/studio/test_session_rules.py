"""How long somebody stays signed in, and when they show again who they are."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from axes.models import AccessAttempt
from django.contrib.auth.models import User
from django.test import Client

from shopfloor.studio.session_rules import LONGEST, PROOF_LASTS, PROVED_AT
from shopfloor.studio.visits import SIGNED_IN_AT
from tests.services.live import PASSWORD

pytestmark = [pytest.mark.django_db, pytest.mark.once]
NEW_PERSON = {"name": "Ebba", "role": "helper", "request_key": "8" * 32}


def aged(client: Client, name: str, age: timedelta) -> Client:
    """The client with one of its session's times moved back."""
    session = client.session
    session[name] = (datetime.now(UTC) - age).isoformat()
    session.save()
    return client


def test_a_session_ends_after_its_longest_time_however_much_it_is_used(signed_in, studio_open):
    young = aged(signed_in, SIGNED_IN_AT, LONGEST - timedelta(hours=1)).get("/studio/").status_code
    old = aged(signed_in, SIGNED_IN_AT, LONGEST + timedelta(hours=1)).get("/studio/")

    assert young == 200
    assert old.url.startswith("/sign-in/")


def test_signing_in_gives_the_session_another_key(owner, studio_open):
    client = Client()
    client.get("/sign-in/")
    session = client.session
    session["before"] = "left by somebody"
    session.save()
    client.cookies["sessionid"] = before = session.session_key

    client.post("/sign-in/", {"username": "owner", "password": PASSWORD})

    assert client.cookies["sessionid"].value != before


def test_after_a_while_the_password_is_asked_for_and_what_was_typed_goes_on(signed_in, studio_open):
    aged(signed_in, PROVED_AT, PROOF_LASTS + timedelta(minutes=1))

    asked = signed_in.post("/studio/people/", NEW_PERSON)
    wrong = signed_in.post("/studio/people/", {**NEW_PERSON, "own_password": "guessed"})
    nobody = User.objects.filter(username="Ebba").exists()
    right = signed_in.post("/studio/people/", {**NEW_PERSON, "own_password": PASSWORD})

    assert asked.status_code == wrong.status_code == 422
    assert 'name="name" value="Ebba"' in asked.content.decode()
    assert "That is not your password." in wrong.content.decode()
    assert not nobody
    assert right.status_code == 302
    assert User.objects.filter(username="Ebba").exists()


def test_a_wrong_one_counts_as_a_try_and_is_written_down_nowhere(signed_in, studio_open):
    aged(signed_in, PROVED_AT, timedelta(hours=2))

    signed_in.post("/studio/people/", {**NEW_PERSON, "own_password": "typed-by-mistake"})

    (tried,) = AccessAttempt.objects.all()
    assert tried.username == "owner"
    assert "typed-by-mistake" not in str(vars(tried))


@pytest.mark.parametrize(
    "address",
    [
        "/studio/people/1/link/",
        "/studio/people/1/close/",
        "/studio/people/1/open/",
        "/studio/calendar/",
        "/studio/bench-tablet/",
        "/studio/pin/",
        "/orders/programs/",
        "/orders/programs/1/end/",
    ],
)
def test_whatever_lets_somebody_in_asks_for_it(signed_in, studio_open, address):
    aged(signed_in, PROVED_AT, timedelta(hours=2))

    answer = signed_in.post(address, {"request_key": "8" * 32})

    assert answer.status_code == 422
    assert "your password first" in answer.content.decode()
