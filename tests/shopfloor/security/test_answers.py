"""What every answer carries, what a faulty one does not say, and what is never written down."""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys
from datetime import UTC, datetime

import pytest
from django.conf import settings
from django.test import Client

from orders.models import ApiClient
from orders.operations.clients import token_digest
from shopfloor.feed.operations import new_address
from shopfloor.studio.models import CalendarAddress, SignInLink
from shopfloor.studio.operations.signing_in import make_link
from tests.services.live import PASSWORD

pytestmark = [pytest.mark.django_db, pytest.mark.once]
ON_EVERY_ANSWER = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
POLICY = (
    "default-src 'self'",
    "script-src 'self'",
    "style-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
)


@pytest.mark.parametrize(
    "address",
    ["/sign-in/", "/bench/", "/nowhere/", "/api/range", "/healthz", "/kept-taps.js", "/studio/hours/"],
)
def test_every_answer_carries_what_keeps_other_pages_away(signed_in_helper, studio_open, address):
    answer = signed_in_helper.get(address)

    assert {name: answer.headers.get(name) for name in ON_EVERY_ANSWER} == ON_EVERY_ANSWER
    assert answer.headers["Permissions-Policy"].startswith("camera=(self), microphone=()")
    policy = answer.headers["Content-Security-Policy"]
    assert all(part in policy for part in (*POLICY, "frame-ancestors 'none'", "form-action 'self'"))
    assert "unsafe" not in policy and "Access-Control-Allow-Origin" not in answer.headers


def test_what_has_names_or_prices_is_kept_by_no_browser(signed_in, studio_open):
    for address in ("/orders/", "/studio/", "/range/", "/trace/", "/api/openapi.json"):
        assert "no-store" in signed_in.get(address).headers["Cache-Control"], address


def test_a_fault_of_the_software_says_nothing_of_it(signed_in, studio_open, monkeypatch):
    monkeypatch.setattr("shopfloor.studio.views.pages.people", lambda: {}["the secret recipe"])
    signed_in.raise_request_exception = False

    answer = signed_in.get("/studio/")

    page = answer.content.decode()
    assert answer.status_code == 500
    assert "recipe" not in page and "Traceback" not in page and settings.SECRET_KEY not in page


def test_another_name_in_the_host_header_is_refused(client):
    answer = client.get("/sign-in/", headers={"host": "elsewhere.example"})

    assert answer.status_code == 400
    assert "elsewhere" not in answer.content.decode()


def test_no_file_beside_the_style_sheets_can_be_asked_for(signed_in, studio_open):
    for name in ("secret", "studio.sqlite3", "../secret", "%2e%2e/secret", "..%2fstudio.sqlite3", ""):
        assert signed_in.get(f"/static/{name}").status_code == 404
        assert signed_in.get(f"/{name or '.git/config'}").status_code == 404
    assert signed_in.trace("/sign-in/").status_code == 405


def test_a_form_of_another_page_is_refused(owner, studio_open):
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)

    answer = client.post("/studio/hours/", {"weekday": 1}, headers={"origin": "https://elsewhere.example"})

    assert answer.status_code == 403


def test_what_lets_somebody_in_is_kept_as_a_digest_only(owner, studio_open):
    now = datetime.now(UTC)
    link, calendar = make_link(owner.pk, now=now), new_address(now=now)

    kept = f"{list(SignInLink.objects.values_list())} {list(CalendarAddress.objects.values_list())}"
    assert link not in kept and calendar not in kept
    assert owner.password.startswith("pbkdf2_sha256$")
    names = {field.name for field in ApiClient._meta.concrete_fields}
    assert "token" not in names and len(token_digest("x")) == 64


def test_no_secret_is_written_to_the_log(owner, studio_open, caplog):
    """Through the handlers of the settings, as the studio runs: everything that is said, at every level."""
    from logging.config import dictConfig

    now = datetime.now(UTC)
    secrets = [make_link(owner.pk, now=now), new_address(now=now), "a-programs-token-4711", "typed-wrongly-1"]
    said: list[str] = []
    shaped = json.loads(json.dumps(settings.LOGGING, default=str))
    shaped["handlers"]["console"]["class"] = "tests.shopfloor.security.test_answers.Kept"
    shaped["root"]["level"] = "DEBUG"
    try:
        dictConfig(shaped)
        Kept.said = said
        client = Client()
        client.put(f"/sign-in/link/{secrets[0]}/")
        client.post(f"/calendar/{secrets[1]}.ics")
        client.get(f"/calendar/{secrets[1]}x.ics")
        client.get("/api/range", headers={"authorization": f"Bearer {secrets[2]}"})
        client.post("/sign-in/", {"username": "owner", "password": secrets[3]})
        client.post("/bench-tablet/", {"person": owner.pk, "pin": secrets[3]})
        client.post(f"/sign-in/link/{secrets[0]}/")
        client.post(f"/sign-in/link/{secrets[0]}/")
        client.post("/sign-in/password/", {"new_password1": PASSWORD, "new_password2": secrets[3]})
    finally:
        dictConfig(settings.LOGGING)

    text = "\n".join(said)
    assert "/sign-in/link/.../" in text and "/calendar/....ics" not in text
    assert [secret for secret in (*secrets, PASSWORD) if secret in text] == []


class Kept(logging.StreamHandler):  # type: ignore[type-arg]
    """Keeps the lines where the console would print them."""

    said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep the line."""
        if not record.name.startswith("django.db"):
            Kept.said.append(self.format(record))


def test_cookies_are_bound_to_the_host_behind_tls_and_honest_without(tmp_path, owner, studio_open, client):
    code = (
        "import django; django.setup(); from django.conf import settings as s\n"
        "print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, s.TABLET_COOKIE_NAME, s.SESSION_COOKIE_SECURE,"
        " s.CSRF_COOKIE_SECURE, s.SECURE_SSL_REDIRECT, s.SECURE_HSTS_SECONDS, s.SESSION_COOKIE_PATH)"
    )
    environment = {**os.environ, "STUDIO_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "shopfloor.settings"}
    answer = subprocess.run(
        [sys.executable, "-c", code],
        cwd=settings.BASE_DIR,
        env={**environment, "HTTPS": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    client.post("/sign-in/", {"username": "owner", "password": PASSWORD})

    names = "__Host-sessionid __Host-csrftoken __Host-bench_tablet"
    assert answer.stdout.split() == [*names.split(), "True", "True", "True", "31536000", "/"]
    plain = client.cookies["sessionid"]
    assert plain["httponly"] and plain["samesite"] == "Lax" and not plain["secure"] and not plain["domain"]


@pytest.mark.parametrize(
    ("password", "is_good"),
    [
        ("short-one", False),
        ("password123", False),
        ("samphirelane1", False),
        ("owner-owner1", False),
        ("tide table and samphire", True),
        ("aaaa bbbb cccc", True),
        ("Þorn ßet 日本 ☃ wide", True),
        ("x y" * 40, True),
    ],
)
def test_a_password_is_long_and_not_one_of_those_tried_first_and_nothing_else(
    owner, studio_open, password, is_good
):
    client = Client()
    client.post(f"/sign-in/link/{make_link(owner.pk, now=datetime.now(UTC))}/")

    answer = client.post("/sign-in/password/", {"new_password1": password, "new_password2": password})

    assert (answer.status_code == 302) == is_good


def test_a_new_password_wants_the_old_one_and_signs_every_other_browser_out(owner, studio_open):
    here, elsewhere = Client(), Client()
    for client in (here, elsewhere):
        client.post("/sign-in/", {"username": "owner", "password": PASSWORD})
    new = {"new_password1": "quite another one", "new_password2": "quite another one"}

    without = here.post("/sign-in/password/", new)
    wrong = here.post("/sign-in/password/", {**new, "old_password": "guessed"})
    right = here.post("/sign-in/password/", {**new, "old_password": PASSWORD})

    assert without.status_code == wrong.status_code == 422
    assert right.status_code == 302
    assert here.get("/studio/").status_code == 200
    assert elsewhere.get("/studio/").status_code == 302


def test_somebody_kept_out_is_out_at_once_everywhere(signed_in, signed_in_helper, helper_user, studio_open):
    signed_in.post(f"/studio/people/{helper_user.pk}/close/", {"request_key": "8" * 32})

    assert signed_in_helper.get("/bench/").status_code == 302
