"""What `doctor` says of the way out for e-mail."""

from __future__ import annotations

import pytest
from django.utils import timezone

from shopfloor.notices.models import MailWish
from shopfloor.watching.thorough import look_at_mail
from tests.services.programs import free_port


@pytest.mark.parametrize(
    ("is_set", "is_wanted", "state", "words"),
    [
        (False, False, "ok", "No outgoing mail is set"),
        (False, True, "look", "Notices are wanted by e-mail, and no outgoing mail is set."),
        (True, False, "look", "The mail server does not let us in: The mail server does not answer"),
    ],
)
def test_it_is_said_whether_mail_can_go_out(settings, owner, is_set, is_wanted, state, words):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_IS_SET = "127.0.0.1", free_port(), is_set
    if is_wanted:
        MailWish.objects.create(user=owner, address="o@mail.example", confirmed_at=timezone.now())

    found = look_at_mail()

    assert (found.state, found.said[: len(words)]) == (state, words)
