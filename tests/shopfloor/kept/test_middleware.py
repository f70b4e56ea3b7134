"""Taps sent by script, live and late: whose, when, and what is answered."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import Act
from production.models import Cast
from tests.factories.production import minutes, pots, started

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def a_cast():
    return started(pots(), timezone.now() - minutes(12)).casts.first()


def person(client):
    return client.get("/kept/who/").json()["person"]


def tap(client, cast, *, whose=None, age="0.2", key=None, **headers):
    whose = person(client) if whose is None else whose
    headers = {
        "Tap-Age": age,
        "Tap-For": whose,
        **{name.replace("_", "-"): on for name, on in headers.items()},
    }
    return client.post(f"/bench/pour/{cast.pk}/", {"request_key": key or uuid4()}, headers=headers)


def test_a_live_tap_is_told_where_to_go_on_and_the_next_page_says_what_was_done(signed_in):
    answer = tap(signed_in, a_cast())

    assert answer.json() == {"to": "/bench/"}
    assert "poured" in signed_in.get("/bench/").content.decode()


def test_a_late_tap_happened_when_it_was_made_and_counts_once(signed_in):
    cast, key, now = a_cast(), uuid4(), timezone.now()

    first = tap(signed_in, cast, age="300", key=key, Tap_Late="1")
    again = tap(signed_in, cast, age="310", key=key, Tap_Late="1")

    cast.refresh_from_db()
    assert abs(cast.poured_at - (now - timedelta(seconds=300))) < timedelta(seconds=5)
    assert first.json() == again.json()
    assert "poured" in first.json()["said"] and not first.json()["refused"]
    assert Act.objects.filter(name="production.pour_cast").count() == 1


def test_a_late_tap_that_is_refused_says_why(signed_in):
    cast = a_cast()
    tap(signed_in, cast)

    answer = tap(signed_in, cast, age="60", Tap_Late="1")

    assert answer.status_code == 422
    assert answer.json()["refused"] and answer.json()["said"].startswith("Already poured")


def test_a_tap_of_another_person_or_of_nobody_is_never_done(signed_in, signed_in_helper, client):
    cast = a_cast()

    others = tap(signed_in_helper, cast, whose=person(signed_in), age="60", Tap_Late="1")
    nobodys = tap(client, cast, whose=person(signed_in), age="60", Tap_Late="1")

    assert (others.status_code, nobodys.status_code) == (409, 401)
    assert Cast.objects.filter(poured_at__isnull=False).count() == 0
    assert person(client) == ""


@pytest.mark.parametrize("age", ["-5", "nan", "soon", "1e30", str(8 * 86400)])
def test_an_age_that_cannot_be_is_refused(signed_in, age):
    cast = a_cast()

    assert tap(signed_in, cast, age=age, Tap_Late="1").status_code == 400
    cast.refresh_from_db()
    assert cast.poured_at is None


def test_pages_say_whose_they_are_so_that_the_worker_keeps_them_apart(signed_in, client):
    assert signed_in.get("/bench/").headers["Studio-Person"] == person(signed_in)
    assert client.get("/sign-in/").headers["Studio-Person"] == ""
