"""E-mail over a real mail server on this machine, not ours, that speaks SMTP (RFC 5321)."""

from __future__ import annotations

import email
import email.policy
import re
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from aiosmtpd.controller import Controller
from django.test import Client

from inventory.conditions import Condition
from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.models import Job
from shopfloor.jobs.work import do_due_jobs
from shopfloor.notices.mail_queries import mail_failing
from shopfloor.notices.mail_wishes import SEND, LinkNotGood, ask_to_confirm, keep_mail, send_again
from shopfloor.notices.models import How, Letter, MailWish, Notice, ToTell
from shopfloor.notices.operations import settle
from shopfloor.notices.sending import PAUSES, answer_of_mail_server, send_letters
from shopfloor.studio.queries import studio_facts
from tests.factories.inventory import a_tap
from tests.services.at_once import at_once
from tests.services.programs import free_port

pytestmark = pytest.mark.usefixtures("studio_open")

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
LOW = Condition(
    "low material 3", "low", "Ölpigment: order by Fri 9 Oct. 2 packs of 25 kg would do.", "/stores/"
)
MOULD = Condition("open mould 12", "open mould", "Mix 312: 2 moulds due out 10:51.", "/bench/open/12/")
FAILED = Condition("backup", "backup", "Backup failed. The disk is full.", "/studio/")


class Box:
    """What the mail server took, and what it answers instead when told to refuse."""

    def __init__(self) -> None:
        self.taken = []
        self.answer = ""

    async def handle_DATA(self, server, session, envelope):
        """Called by the server for each e-mail."""
        if self.answer:
            return self.answer
        self.taken.append(
            (envelope.rcpt_tos, email.message_from_bytes(envelope.content, policy=email.policy.default))
        )
        return "250 Taken"


@pytest.fixture
def box(settings):
    box = Box()
    server = Controller(box, hostname="127.0.0.1", port=free_port())
    server.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    settings.EMAIL_IS_SET, settings.EMAIL_TIMEOUT = True, 5
    settings.SITE_ADDRESS = "https://studio.example"
    yield box
    server.stop()


def a_wish(user, **fields):
    everything = dict.fromkeys(("hands", "orders", "stores", "studio"), How.AT_ONCE)
    given = {"address": f"{user.username}@mail.example", "confirmed_at": NOW, **everything, **fields}
    return MailWish.objects.create(user=user, **given)


def send(now=NOW):
    return send_letters(clock=lambda: now, facts=studio_facts(), tell=lambda done, of: None)


def test_one_e_mail_tells_what_opened_in_text_and_html_and_where_to_answer_it(owner, box):
    a_wish(owner)
    settle([LOW, MOULD], now=NOW)
    assert Job.objects.filter(kind=SEND, state="waiting").count() == 1

    do_due_jobs(HANDLERS, lambda: NOW)
    assert Job.objects.get(kind=SEND).result == {"sent": 1, "not_sent": 0}

    ((to, message),) = box.taken
    assert to == ["owner@mail.example"]
    assert message["Subject"].endswith(": 2 notices")
    text = message.get_body(("plain",)).get_content()
    html = message.get_body(("html",)).get_content()
    for body in (text, html):
        assert LOW.text in body and MOULD.text in body
        assert "https://studio.example/bench/open/12/" in body
        assert "https://studio.example/studio/mail/" in body
    assert message["List-Unsubscribe"].strip().startswith("<https://studio.example/mail/end/")
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert message["Auto-Submitted"] == "auto-generated"
    assert re.fullmatch(r"<[0-9a-f-]{36}@studio\.example>", message["Message-ID"])


def test_what_was_taken_is_never_sent_again_however_often_it_runs(owner, box):
    a_wish(owner)
    settle([LOW], now=NOW)

    for later in (0, 1, 60, 1440, 14400):
        settle([LOW], now=NOW + timedelta(minutes=later))
        send(NOW + timedelta(minutes=later))

    assert len(box.taken) == 1


def test_each_hears_what_they_want_and_a_helper_nothing_of_the_studio_s_own(owner, helper_user, box):
    a_wish(owner, hands=How.NONE)
    a_wish(helper_user, stores=How.NONE)
    settle([LOW, MOULD, FAILED], now=NOW)

    send()

    told = {to[0]: message.get_body(("plain",)).get_content() for to, message in box.taken}
    assert LOW.text in told["owner@mail.example"] and FAILED.text in told["owner@mail.example"]
    assert MOULD.text not in told["owner@mail.example"]
    assert MOULD.text in told["helper@mail.example"]
    assert FAILED.text not in told["helper@mail.example"] and LOW.text not in told["helper@mail.example"]
    assert ToTell.objects.count() == 3


def test_nobody_hears_without_a_confirmed_address_or_after_they_were_kept_out(owner, helper_user, box):
    a_wish(owner, confirmed_at=None)
    a_wish(helper_user)
    settle([LOW], now=NOW)
    helper_user.is_active = False
    helper_user.save()

    send()

    assert box.taken == [] and not ToTell.objects.exists()


def test_days_without_power_end_with_one_e_mail_and_without_what_is_over(owner, box):
    a_wish(owner, stores=How.DIGEST, digest_at=time(7), quiet_from=time(22), quiet_until=time(6))
    every_day = []
    for day in range(4):
        every_day.append(Condition(f"low material {day}", "low", f"Material {day}: order today.", "/stores/"))
        settle([*every_day, MOULD], now=NOW + timedelta(days=day))
    settle(every_day[1:], now=NOW + timedelta(days=4))

    send(NOW + timedelta(days=4, hours=14))
    assert box.taken == [], "quiet"
    send(NOW + timedelta(days=4, hours=22))
    send(NOW + timedelta(days=4, hours=23))

    ((_, message),) = box.taken
    text = message.get_body(("plain",)).get_content()
    assert message["Subject"].endswith(": 3 notices")
    assert "Material 3" in text and "Material 0" not in text and MOULD.text not in text
    assert "2 more came and went by themselves." in text


def test_what_is_over_before_it_was_due_makes_no_e_mail(owner, box):
    a_wish(owner, hands=How.DIGEST)
    settle([MOULD], now=NOW)
    settle([], now=NOW + timedelta(hours=1))

    send(NOW + timedelta(days=1))

    assert box.taken == [] and not Letter.objects.exists() and not ToTell.objects.exists()


def test_a_server_that_is_away_is_asked_again_after_longer_and_longer_and_then_once(owner, box, settings):
    a_wish(owner)
    port, settings.EMAIL_PORT = settings.EMAIL_PORT, free_port()
    settle([LOW], now=NOW)
    now = NOW
    for pause in PAUSES[:3]:
        assert send(now) == {"sent": 0, "not_sent": 1}
        assert send(now + pause - timedelta(seconds=1)) == {"sent": 0, "not_sent": 0}
        now += pause
    letter = Letter.objects.get()
    assert (letter.state, letter.attempts, letter.try_at) == ("waiting", 3, now)
    (told,) = mail_failing()
    assert told.text.startswith("E-mail to owner does not get through. The mail server does not answer")
    assert answer_of_mail_server().startswith("The mail server does not answer")

    settings.EMAIL_PORT = port
    settle([LOW, MOULD], now=now)
    assert send(now) == {"sent": 1, "not_sent": 0}

    ((_, message),) = box.taken
    assert message["Subject"].endswith(": 2 notices")
    assert mail_failing() == [] and answer_of_mail_server() == ""


@pytest.mark.parametrize(
    ("answer", "state"), [("451 Come back later", "waiting"), ("554 Not taken here", "failed")]
)
def test_a_server_that_says_no_for_now_is_asked_again_and_one_that_says_no_for_good_is_not(
    owner, box, answer, state
):
    a_wish(owner)
    settle([LOW], now=NOW)
    box.answer = answer

    send()

    letter = Letter.objects.get()
    assert letter.state == state
    assert answer in letter.fault
    box.answer = ""
    if state == "failed":
        send_again(**a_tap(now=NOW), user_id=owner.pk, letter_id=letter.pk)
    send(NOW + timedelta(minutes=1))
    assert len(box.taken) == 1 and Letter.objects.get().state == "sent"


def test_after_a_kill_what_was_not_handed_over_goes_and_what_was_is_not_sent_twice(owner, helper_user, box):
    a_wish(owner)
    a_wish(helper_user)
    for person, state in ((owner, "taken"), (helper_user, "handing")):
        letter = Letter.objects.create(
            person=person,
            state=state,
            made_at=NOW,
            try_at=NOW,
            attempts=1,
            lease_until=NOW + timedelta(minutes=2),
        )
        notice, _ = Notice.objects.get_or_create(
            cause="low", defaults={"kind": "low", "text": "Low.", "opened_at": NOW}
        )
        ToTell.objects.create(notice=notice, person=person, letter=letter, made_at=NOW)

    assert send(NOW + timedelta(minutes=1)) == {"sent": 0, "not_sent": 0}
    assert send(NOW + timedelta(minutes=3)) == {"sent": 1, "not_sent": 0}
    send(NOW + timedelta(days=1))

    assert [to for to, _ in box.taken] == [["owner@mail.example"]]
    doubtful = Letter.objects.get(person=helper_user)
    assert (doubtful.state, doubtful.fault[:33]) == ("doubt", "The studio stopped while it was h")
    assert len(mail_failing()) == 1


@pytest.mark.django_db(transaction=True)
def test_two_workers_at_once_send_one_e_mail(owner, box):
    a_wish(owner)
    settle([LOW], now=NOW)

    at_once(*[send] * 3)
    send()

    assert len(box.taken) == 1


def test_without_outgoing_mail_nothing_is_lost_and_nothing_is_tried(owner, box, settings):
    a_wish(owner)
    settings.EMAIL_IS_SET = False
    settle([LOW], now=NOW)
    assert send() == {"sent": 0, "not_sent": 0}

    settings.EMAIL_IS_SET = True
    assert send(NOW + timedelta(days=2)) == {"sent": 1, "not_sent": 0}


def test_the_link_in_an_e_mail_ends_them_after_a_tap_and_the_mail_programs_button_at_once(
    owner, helper_user, box
):
    """What the button sends. Source: RFC 8058, section 3.1: a POST of that field, without any cookie."""
    a_wish(owner)
    a_wish(helper_user)
    settle([LOW], now=NOW)
    send()
    links = {
        to[0]: message["List-Unsubscribe"].strip(" <>").removeprefix("https://studio.example")
        for to, message in box.taken
    }
    settle([LOW, MOULD], now=NOW)
    stranger = Client(enforce_csrf_checks=True)

    asked = stranger.get(links["owner@mail.example"]).content.decode()
    assert "Send no more notices to owner@mail.example?" in asked
    assert stranger.post(links["owner@mail.example"][:-3] + "/").status_code == 422
    assert MailWish.objects.filter(confirmed_at__isnull=False).count() == 2, "looking ends nothing"
    button = stranger.post(links["helper@mail.example"], {"List-Unsubscribe": "One-Click"})

    assert "Nothing more goes to helper@mail.example" in button.content.decode()
    assert send(NOW + timedelta(minutes=1)) == {"sent": 1, "not_sent": 0}
    assert box.taken[-1][0] == ["owner@mail.example"]
    MailWish.objects.filter(user=helper_user).update(address="other@mail.example", confirmed_at=NOW)
    stranger.post(links["helper@mail.example"])
    assert MailWish.objects.get(user=helper_user).confirmed_at, "another address since is not theirs to end"


def test_an_address_is_confirmed_by_the_newest_link_once(owner, client, box):
    wanted = {"address": "owner@mail.example"}
    keep_mail(**a_tap(now=NOW), user_id=owner.pk, values=wanted)
    settle([LOW], now=NOW)
    send()
    with pytest.raises(LinkNotGood):
        ask_to_confirm(**a_tap(now=NOW + timedelta(seconds=59)), user_id=owner.pk)
    ask_to_confirm(**a_tap(now=NOW + timedelta(hours=1)), user_id=owner.pk)
    send(NOW + timedelta(hours=1))
    first, second = (
        re.search(r"https://studio\.example(/mail/confirm/\S+/)", one.get_body(("plain",)).get_content())[1]
        for _, one in box.taken
    )

    assert client.get(second).status_code == 200
    assert MailWish.objects.get().confirmed_at is None, "looking at it confirms nothing"
    assert client.post(first).status_code == 422
    assert client.post(second[:-3] + "/").status_code == 422
    assert "owner@mail.example is yours" in client.post(second).content.decode()
    assert client.post(second).status_code == 422
    assert MailWish.objects.get().confirmed_at is not None
