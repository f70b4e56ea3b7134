"""Notices on a page that is not opened anew."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from uuid import uuid4

import pytest

from inventory.conditions import Condition
from shopfloor.notices.mail_queries import mail_failing
from shopfloor.notices.models import Letter, MailWish
from shopfloor.notices.operations import settle

pytestmark = pytest.mark.usefixtures("studio_open")

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)
LOW = Condition("low material 3", "low", "Quick compound: order by Fri 9 Oct.", "/stores/")
MOULD = Condition("open mould 12", "open mould", "Mix 312: 2 moulds due out 10:51.", "/bench/")


def looked_again(client, area="stores", seen=0, mark=""):
    return client.get(f"/notices/now/?area={area}&seen={seen}", headers={"if-none-match": mark})


def test_a_page_that_shows_what_there_is_gets_no_second_answer(signed_in, django_assert_num_queries):
    settle([LOW], now=NOW)
    mark = looked_again(signed_in).headers["ETag"]
    signed_in.get("/stores/")

    # Session, person, notices.
    with django_assert_num_queries(3):
        same = looked_again(signed_in, mark=mark)

    assert (same.status_code, same.content) == (304, b"")
    assert "no-cache" in same.headers["Cache-Control"]


def test_what_came_since_is_drawn_and_read_out_once(signed_in):
    settle([LOW], now=NOW)
    page = signed_in.get("/stores/").content.decode()
    seen = re.search(r"seen=(\d+)", page)[1]
    dearer = Condition("late delivery 4", "delivery", "5 kg Fog pigment was expected Mon 5.", "/stores/")
    settle([LOW, dearer, MOULD], now=NOW)

    again = looked_again(signed_in, seen=seen).content.decode()

    said = re.search(r'role="status"[^>]*>([^<]*)<', again)[1].strip()
    assert said == dearer.text
    assert LOW.text in again and MOULD.text not in again
    assert ">3 notices</a>" in again
    settle([], now=NOW)
    gone = looked_again(signed_in, seen=seen).content.decode()
    assert LOW.text not in gone and ">no notices</a>" in gone


def test_a_helper_sees_them_and_somebody_signed_out_gets_nothing(signed_in_helper, client):
    settle([LOW], now=NOW)

    assert LOW.text in looked_again(signed_in_helper).content.decode()
    stranger = looked_again(client)
    assert (stranger.status_code, stranger.content) == (204, b"")


def test_the_page_of_all_notices_looks_again_too(signed_in):
    settle([LOW, MOULD], now=NOW)

    for page in (signed_in.get("/notices/"), looked_again(signed_in, area="all")):
        text = page.content.decode()
        assert LOW.text in text and MOULD.text in text and "2 notices" in text


def wanted(**changes):
    given = {"address": "ann@mail.example", "hands": "at once", "orders": "digest", "stores": "none"}
    return {"request_key": str(uuid4()), "studio": "none", "digest_at": "07:00", **given, **changes}


def test_everybody_keeps_their_own_wishes_and_what_is_refused_stays_typed(
    signed_in, signed_in_helper, owner, helper_user, settings
):
    settings.EMAIL_IS_SET = True
    for client, person in ((signed_in, owner), (signed_in_helper, helper_user)):
        assert (
            client.post("/studio/mail/", wanted(address=f"{person.username}@mail.example")).status_code == 302
        )
        page = client.get("/studio/mail/").content.decode()
        assert f"{person.username}@mail.example is not confirmed yet" in page
    assert {wish.user_id: wish.address for wish in MailWish.objects.all()} == {
        owner.pk: f"{owner.username}@mail.example",
        helper_user.pk: f"{helper_user.username}@mail.example",
    }

    refused = signed_in.post("/studio/mail/", wanted(address="ann", quiet_from="20:00"))

    assert refused.status_code == 422
    assert 'value="20:00"' in refused.content.decode()


def test_without_outgoing_mail_the_page_says_so_and_takes_no_address(signed_in, signed_in_helper, settings):
    settings.EMAIL_IS_SET = False

    assert "EMAIL_URL" in signed_in.get("/studio/mail/").content.decode()
    assert "EMAIL_URL" not in signed_in_helper.get("/studio/mail/").content.decode()
    refused = signed_in.post("/studio/mail/", wanted())
    assert refused.status_code == 422 and "no outgoing mail yet" in refused.content.decode()
    assert not MailWish.objects.exists()


def test_the_notice_of_an_e_mail_that_failed_leads_to_what_mends_it(
    signed_in, signed_in_helper, helper_user, settings
):
    settings.EMAIL_IS_SET = True
    refused = Letter.objects.create(
        person=helper_user, state="failed", made_at=NOW, try_at=NOW, fault="550 no such box"
    )
    (condition,) = mail_failing()
    address, _, part = condition.link.partition("#")

    theirs, owners = signed_in_helper.get(address).content.decode(), signed_in.get(address).content.decode()

    assert f'id="{part}"' in theirs and f'id="{part}"' in owners
    assert "To you: 550 no such box" in theirs and f"/studio/mail/{refused.pk}/again/" in theirs
    assert "To helper: 550 no such box" in owners and "/again/" not in owners
