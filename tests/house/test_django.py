"""What Django itself can check, and the table of routes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from inventory import triggers
from tests.house.source import PROJECT

ROLES = {"visitor", "client", "everyone", "owner"}
# What opens without signing in: to anybody, or to a program with a token.
WITHOUT_SIGN_IN = {"visitor", "client"}
# Checks of settings that only an operator behind HTTPS can answer; with HTTPS=1 none is left.
HTTPS = {"HTTPS": "1", "ALLOWED_HOSTS": "studio.example"}


def manage(tmp_path: Path, *command: str, **environment: str) -> subprocess.CompletedProcess[str]:
    only_for_tests = ("STATICFILES_BACKEND", "DJANGO_ALLOW_ASYNC_UNSAFE", "DATABASE_URL")
    kept = {name: value for name, value in os.environ.items() if name not in only_for_tests}
    return subprocess.run(
        [sys.executable, "manage.py", *command],
        cwd=PROJECT,
        env={**kept, "STUDIO_DIR": str(tmp_path), "SHOPFLOOR_ENVIRONMENT": "own", **environment},
        capture_output=True,
        text=True,
        timeout=120,
    )


def test_models_and_migrations_agree(tmp_path):
    answer = manage(tmp_path, "makemigrations", "--check", "--dry-run")

    assert answer.returncode == 0, answer.stdout


def test_the_system_check_finds_nothing(tmp_path):
    answer = manage(tmp_path, "check", "--fail-level", "INFO")

    assert answer.returncode == 0, answer.stderr


def test_the_deploy_check_finds_nothing_behind_https(tmp_path):
    answer = manage(tmp_path, "check", "--deploy", "--fail-level", "WARNING", **HTTPS)

    assert answer.returncode == 0, answer.stderr


def test_migrations_bear_names_that_say_what_they_do():
    named = re.compile(r"^\d{4}_(?!auto)[a-z0-9_]+$")
    found = [
        path.stem
        for path in PROJECT.glob("*/**/migrations/[0-9]*.py")
        if ".venv" not in path.parts and not named.match(path.stem)
    ]

    assert found == []


def test_the_triggers_of_the_ledger_are_up(db):
    from django.db import connection

    assert triggers.missing(connection) == []


def routes(patterns: list[URLPattern | URLResolver], before: str = "") -> Iterator[tuple[str, URLPattern]]:
    """Every address of the studio with its pattern."""
    for pattern in patterns:
        here = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from routes(pattern.url_patterns, here)
        else:
            yield here, pattern


def all_routes() -> list[tuple[str, URLPattern]]:
    return list(routes(get_resolver().url_patterns))


def test_every_route_declares_who_may_open_it():
    undeclared = [
        address for address, pattern in all_routes() if getattr(pattern.callback, "role", None) not in ROLES
    ]

    assert len(all_routes()) > 40
    assert undeclared == []


def test_every_route_has_a_name_of_its_own():
    nameless = [address for address, pattern in all_routes() if not pattern.name]

    assert nameless == []


def test_only_the_declared_routes_open_without_signing_in():
    open_to_all = {
        address for address, pattern in all_routes() if not getattr(pattern.callback, "login_required", True)
    }
    declared = {address for address, pattern in all_routes() if pattern.callback.role in WITHOUT_SIGN_IN}

    assert open_to_all == declared


# Any value that fits the converters, so that each address can be asked for.
FITTING = {"int": "1", "str": "x", "slug": "x", "path": "x", "uuid": "00000000-0000-0000-0000-000000000000"}


def fitted(address: str) -> str:
    """An address with something in each of its places."""
    return "/" + re.sub(r"<(?:(\w+):)?\w+>", lambda found: FITTING[found[1] or "str"], address)


def test_without_signing_in_every_other_route_leads_to_the_sign_in(client, db):
    astray = []
    for address, pattern in all_routes():
        if pattern.callback.role not in WITHOUT_SIGN_IN:
            answer = client.get(fitted(address))
            if answer.status_code != 302 or not answer.url.startswith("/sign-in/"):
                astray.append(f"{address}: {answer.status_code}")

    assert astray == []


def test_a_sign_in_opens_nothing_to_a_program_without_a_token(signed_in, studio_open):
    """Whoever is signed in in a browser must not be made to ask for a page that is not theirs."""
    astray = []
    for address, pattern in all_routes():
        if pattern.callback.role == "client" and pattern.name not in ("document", "nothing-there"):
            for method in ("get", "post", "patch"):
                code = getattr(signed_in, method)(fitted(address)).status_code
                if code not in (401, 405):
                    astray.append(f"{method} {address}: {code}")

    assert astray == []


def test_a_helper_is_kept_from_every_page_of_the_owner(signed_in_helper, studio_open):
    let_in = []
    for address, pattern in all_routes():
        if pattern.callback.role == "owner" and signed_in_helper.post(fitted(address)).status_code != 403:
            let_in.append(address)

    assert let_in == []


@pytest.mark.parametrize("header", ["Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy"])
def test_pages_carry_the_headers_that_keep_strangers_out(client, db, header):
    assert client.get("/sign-in/").headers[header]
