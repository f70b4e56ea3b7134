"""The thorough looks: rights, clock, papers, mail; and what can be said while no database answers."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from shopfloor.notices.models import MailWish
from shopfloor.watching import thorough
from shopfloor.watching.findings import State
from shopfloor.watching.thorough import look_at_mail
from tests.services.programs import free_port

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("folder", "secret", "state"),
    [
        (0o700, 0o644, State.OK),
        (0o755, 0o600, State.LOOK),
        (0o755, 0o644, State.LOOK),
        (0o750, 0o640, State.LOOK),
    ],
)
def test_a_secret_that_others_can_read_is_named_with_the_command_that_mends_it(
    tmp_path, settings, folder, secret, state
):
    settings.STUDIO_DIR = tmp_path
    (tmp_path / "secret").write_text("x")
    (tmp_path / "secret").chmod(secret)
    tmp_path.chmod(folder)

    found = thorough.look_at_rights()

    assert found.state == state
    assert (found.mend == f"chmod -R go= {tmp_path}") == (state == State.LOOK)


def test_a_clock_that_was_set_back_behind_what_was_noted_is_told(monkeypatch):
    monkeypatch.setattr(thorough, "newest_act_at", lambda: NOW + timedelta(hours=5))

    found = thorough.look_at_clock(NOW)

    assert found.said == "The clock of this machine is behind: something was noted at 2026-11-25 14:00 UTC."


def test_without_the_printing_library_it_says_what_to_install(monkeypatch):
    monkeypatch.setattr(thorough, "pdf_maker", lambda: None)

    found = thorough.look_at_papers()

    assert (found.state, "apt-get install libpango" in found.mend) == (State.LOOK, True)


def test_while_no_database_answers_the_rest_is_looked_at_all_the_same():
    assert [found.name for found in thorough.without_database()] == ["rights", "papers", "solver", "network"]


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
