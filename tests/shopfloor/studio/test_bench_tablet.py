"""The bench tablet: one browser for all hands, in the name of whoever is at it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.models import Act
from shopfloor.studio.bench_tablet import TABLET_MINUTES
from shopfloor.studio.models import BenchPin, BenchTablet
from shopfloor.studio.operations.bench_tablet import keep_pin
from shopfloor.studio.visits import visits
from tests.services.live import PASSWORD

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PIN, OWNERS_PIN = "4711", "805291"


@pytest.fixture
def tablet(signed_in, helper_user, owner, studio_open) -> Client:
    """A browser that the owner has made the bench tablet; both people have a PIN."""
    signed_in.post(
        "/studio/bench-tablet/", headers={"user-agent": "Mozilla/5.0 (iPad) Version/18.0 Safari/604.1"}
    )
    keep_pin(helper_user.pk, PIN)
    keep_pin(owner.pk, OWNERS_PIN)
    return signed_in


def come(client: Client, person, pin: str):
    return client.post("/bench-tablet/", {"person": person.pk, "pin": pin})


def test_the_owner_is_signed_out_by_making_it_and_everybody_is_offered(
    tablet, owner, helper_user, hashed_password
):
    User.objects.create(username="kept-out", password=hashed_password, is_active=False)
    offered = [(str(helper_user.pk), "helper"), (str(owner.pk), "owner")]

    page = tablet.get("/studio/", follow=True).content.decode()

    assert "Who is at the bench?" in page
    assert re.findall(r'name="person" value="(\d+)"[^>]*>\s*([^<]*?)\s*<', page) == offered
    assert BenchTablet.objects.get().device == "Safari on iPad"
    assert tablet.cookies["bench_tablet"]["httponly"]
    assert BenchTablet.objects.get().secret_digest != tablet.cookies["bench_tablet"].value


def test_a_name_and_a_pin_let_somebody_in_and_what_they_do_bears_their_name(tablet, helper_user):
    answer = come(tablet, helper_user, PIN)
    (day, *_) = re.findall(
        r'<option value="(\d{4}-\d\d-\d\d)"', tablet.get("/week/free-days/").content.decode()
    )
    tablet.post("/week/free-days/", {"request_key": "8" * 32, "day": day})

    assert answer.url == "/bench/"
    assert "helper at the bench tablet" in tablet.get("/bench/").content.decode()
    assert list(Act.objects.values_list("by__username", "name")) == [
        ("owner", "studio.note_way_in"),
        ("helper", "production.keep_day_free"),
    ]


def test_a_change_of_person_takes_one_tap_and_leaves_nothing_of_the_one_before(tablet, helper_user, owner):
    come(tablet, helper_user, PIN)
    before = tablet.session.session_key

    tablet.post("/bench-tablet/change/")
    come(tablet, owner, OWNERS_PIN)

    assert tablet.session.session_key != before
    assert "owner at the bench tablet" in tablet.get("/bench/").content.decode()


def test_the_owner_by_pin_has_the_rights_of_a_helper_and_by_password_their_own(tablet, owner):
    come(tablet, owner, OWNERS_PIN)
    by_pin = tablet.get("/studio/history/").status_code
    tablet.post("/bench-tablet/change/")

    tablet.post("/sign-in/?full=1", {"username": "owner", "password": PASSWORD})

    assert by_pin == 403
    assert tablet.get("/studio/history/").status_code == 200


def test_it_ends_by_itself_when_nobody_taps_and_is_listed_and_ended_from_elsewhere(
    tablet, helper_user, owner
):
    come(tablet, helper_user, PIN)
    left = tablet.session.get_expiry_date() - datetime.now(UTC)
    (listed,) = visits(now=datetime.now(UTC), this_session=None)
    other = Client()
    other.post("/sign-in/", {"username": "owner", "password": PASSWORD})
    page = other.get("/studio/").content.decode()

    other.post(f"/studio/bench-tablet/{BenchTablet.objects.get().pk}/end/")

    assert left <= timedelta(minutes=TABLET_MINUTES)
    assert listed.at_tablet and listed.person == "helper"
    assert "Safari on iPad" in page and ", bench tablet" in page
    assert tablet.get("/bench/").url.startswith("/sign-in/")
    assert come(tablet, helper_user, PIN).url == "/sign-in/"


def test_a_pin_opens_nothing_in_a_browser_that_is_no_bench_tablet(tablet, helper_user):
    stranger = Client()
    stranger.cookies["bench_tablet"] = "made-up"

    assert come(stranger, helper_user, PIN).url == "/sign-in/"
    assert stranger.get("/bench/").status_code == 302


def test_each_sets_their_own_pin_which_is_kept_as_passwords_are(signed_in_helper, helper_user, studio_open):
    easy = signed_in_helper.post("/studio/pin/", {"pin": "1234"}, follow=True).content.decode()
    signed_in_helper.post("/studio/pin/", {"pin": "4711"})
    kept = BenchPin.objects.get(pk=helper_user.pk).figures
    signed_in_helper.post("/studio/pin/", {"pin": ""})

    assert "Everybody tries that one first." in easy
    assert kept.startswith("pbkdf2_sha256$")
    assert not BenchPin.objects.exists()


def test_it_does_not_lead_to_another_host(tablet, helper_user):
    typed = {"person": helper_user.pk, "pin": PIN, "next": "https://elsewhere.example/"}

    assert tablet.post("/bench-tablet/", typed).url == "/bench/"
