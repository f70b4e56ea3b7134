"""Who is signed in where."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from shopfloor.studio.visits import device_of, visits

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("user_agent", "words"),
    [
        (
            "Mozilla/5.0 (Linux; Android 14; Pixel 8) Chrome/130.0 Mobile Safari/537.36",
            "Chrome on Android",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Safari/604.1",
            "Safari on iPhone",
        ),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Gecko/20100101 Firefox/132.0", "Firefox on Linux"),
        ("curl/8.5.0", "another program"),
    ],
)
def test_a_browser_is_named_by_what_it_says_of_itself(user_agent, words):
    """User agent strings: common practice, no source."""
    assert device_of(user_agent) == words


def test_a_lost_phone_is_signed_out_by_its_owner_and_nobody_elses_by_a_helper(
    owner, helper_user, studio_open
):
    phone, desk, helpers = Client(), Client(), Client()
    for client, person in ((phone, owner), (desk, owner), (helpers, helper_user)):
        client.force_login(person)
    phones_key = phone.session.session_key
    by_name = {one.person: one for one in visits(now=NOW, this_session=desk.session.session_key)}
    (lost,) = [
        one
        for one in visits(now=NOW, this_session=desk.session.session_key, user_id=owner.pk)
        if not one.is_this
    ]

    helpers.post(f"/studio/signed-in/{lost.mark}/end/")
    still_in = phone.get("/studio/").status_code
    desk.post(f"/studio/signed-in/{lost.mark}/end/")

    assert set(by_name) == {"owner", "helper"}
    assert still_in == 200
    assert phone.get("/studio/").status_code == 302
    assert "owner is signed out there." in desk.get("/studio/").content.decode()
    assert phones_key not in desk.get("/studio/").content.decode()


def test_the_list_of_who_did_what_can_be_narrowed_and_taken_along(signed_in, studio_open):
    signed_in.post("/studio/people/", {"name": "+Ebba", "role": "helper", "request_key": "8" * 32})

    page = signed_in.get("/studio/history/?find=ebba").content.decode()
    nothing = signed_in.get("/studio/history/?find=nobody").content.decode()
    lines = b"".join(signed_in.get("/studio/history/?csv=1").streaming_content).decode().splitlines()

    assert "+Ebba is in as helper." in page
    assert "Nothing was done yet, or nothing that fits." in nothing
    assert lines[0] == "When,Who,What,Undone"
    # A cell that would begin a formula does not.
    assert ",owner,'+Ebba is in as helper. Hand over a sign-in link next.," in lines[1]
