from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.test import Client

from shopfloor.studio.models import SignInLink
from shopfloor.studio.operations.signing_in import make_link, owner_of_studio

PASSWORD = "tide-table-and-samphire"


@pytest.fixture
def link(db) -> str:
    """The address of a fresh link for an owner without a password."""
    return f"/sign-in/link/{make_link(owner_of_studio().pk, now=datetime.now(UTC))}/"


def test_every_page_asks_for_a_sign_in_first(client, db):
    answer = client.get("/studio/")

    assert answer.status_code == 302
    assert answer.url == "/sign-in/?next=/studio/"


def test_looking_at_a_link_does_not_use_it_up(client, link):
    client.get(link)
    answer = client.post(link)

    assert answer.status_code == 302
    assert answer.url == "/sign-in/password/"


def test_a_link_used_twice_says_so_and_signs_nobody_in(link):
    Client().post(link)
    second = Client()

    answer = second.post(link)

    assert answer.status_code == 422
    assert "This link was used before, or a newer one was made. Ask for a new one." in answer.content.decode()
    assert second.get("/studio/").status_code == 302


def test_a_link_that_has_run_out_says_so(client, link):
    SignInLink.objects.update(made_at=datetime.now(UTC) - timedelta(minutes=16))

    answer = client.post(link)

    assert answer.status_code == 422
    assert "This link was good for 15 minutes and has run out. Ask for a new one." in answer.content.decode()


def test_after_the_link_a_password_is_chosen_and_works(client, link):
    client.post(link)

    answer = client.post("/sign-in/password/", {"new_password1": PASSWORD, "new_password2": PASSWORD})

    assert answer.status_code == 302
    other = Client()
    assert other.post("/sign-in/", {"username": "owner", "password": PASSWORD}).status_code == 302
    assert other.get("/studio/").status_code == 200


def test_a_short_password_is_refused_with_its_reason(client, link):
    client.post(link)

    answer = client.post("/sign-in/password/", {"new_password1": "tide", "new_password2": "tide"})

    assert answer.status_code == 422
    assert "at least 10 characters" in answer.content.decode()


def test_two_passwords_that_differ_are_refused_in_plain_words(client, link):
    client.post(link)

    answer = client.post("/sign-in/password/", {"new_password1": PASSWORD, "new_password2": PASSWORD + "x"})

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "The two are not the same. Type both again." in page
    assert "The same again" in page
    assert "confirmation" not in page


def test_a_wrong_password_says_nothing_about_who_is_here(client, owner):
    known = client.post("/sign-in/", {"username": "owner", "password": "wrong"}).content.decode()
    unknown = client.post("/sign-in/", {"username": "nobody", "password": "wrong"}).content.decode()

    sentence = "That name and password do not belong together. Both mind capitals."
    assert sentence in known
    assert sentence in unknown


def test_after_eight_wrong_passwords_the_right_one_is_not_let_in_either(client, owner):
    for _ in range(settings.AXES_FAILURE_LIMIT):
        answer = client.post("/sign-in/", {"username": "owner", "password": "wrong"})

    locked = client.post("/sign-in/", {"username": "owner", "password": PASSWORD})

    assert answer.status_code == 429
    assert locked.status_code == 429
    assert "Too many tries" in locked.content.decode()


def test_a_link_lets_the_owner_in_while_passwords_are_locked(client, owner):
    for _ in range(settings.AXES_FAILURE_LIMIT):
        client.post("/sign-in/", {"username": "owner", "password": "wrong"})
    secret = make_link(owner.pk, now=datetime.now(UTC))

    assert client.post(f"/sign-in/link/{secret}/").status_code == 302
    assert client.get("/studio/").status_code == 200


def test_sign_in_does_not_lead_to_another_host(client, owner):
    answer = client.post(
        "/sign-in/?next=https://elsewhere.example/", {"username": "owner", "password": PASSWORD}
    )

    assert answer.url == "/"


def test_signing_out_ends_it(signed_in):
    assert signed_in.get("/sign-out/").status_code == 405

    signed_in.post("/sign-out/")

    assert signed_in.get("/studio/").status_code == 302
