"""Fixtures for all tests: people, an open studio, and the real services some tests need."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, time
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group, User
from django.core.cache import cache
from django.db import connection
from django.test import Client, TestCase, TransactionTestCase
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings
from playwright.sync_api import Browser, Page, sync_playwright

from inventory import triggers
from inventory.roles import OWNER_GROUP
from shopfloor.studio.models import StudioSettings, WeeklyHours
from shopfloor.studio.session_rules import PROVED_AT
from tests.services.chromium import DESK, PHONE, accessibility_faults, launch, page_of
from tests.services.live import PASSWORD, LiveStudio
from tests.services.postgres import running_postgres
from tests.services.programs import need_program
from tests.services.redis import running_redis

# A slow machine is no reason for a test to fail; what failed once in CI fails again.
hypothesis_settings.register_profile(
    "studio",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize="CI" in os.environ,
)
hypothesis_settings.load_profile("studio")

DATABASE_FIXTURES = {"db", "transactional_db", "django_db_setup", "django_db_reset_sequences"}
NOT_TWICE = {"browser", "services"}
OF_PAGES = {"views", "papers"}


# Both databases ------------------------------------------------------------------------------------


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """On PostgreSQL run what touches the database by operations and queries; services choose their own.

    Pages and papers only parse and answer: SQLite and the whole journeys hold them.

    Where the tests run in parts side by side, "services" are those that need one or drive a browser, "pure"
    those that need neither these nor a database, "database" the others but what PostgreSQL does for both.
    """
    if os.environ.get("DATABASE_URL", "").startswith("postgres"):
        chosen = {item for item in items if _touches_database(item) and not _is_once(item)}
    elif os.environ.get("STUDIO_TEST_PART"):
        left = "STUDIO_TEST_BESIDE_POSTGRES" in os.environ
        chosen = {
            item
            for item in items
            if _part_of(item) == os.environ["STUDIO_TEST_PART"]
            and not (left and item.get_closest_marker("either"))
        }
    else:
        return
    config.hook.pytest_deselected(items=[item for item in items if item not in chosen])
    items[:] = [item for item in items if item in chosen]


def _is_once(item: pytest.Item) -> bool:
    return bool(item.get_closest_marker("once")) or item.path.parent.name in OF_PAGES


def _part_of(item: pytest.Item) -> str:
    if any(item.get_closest_marker(name) for name in NOT_TWICE):
        return "services"
    return "database" if _touches_database(item) else "pure"


def _touches_database(item: pytest.Item) -> bool:
    if any(item.get_closest_marker(name) for name in NOT_TWICE):
        return False
    of_class = getattr(item, "cls", None)
    return bool(
        item.get_closest_marker("django_db")
        or DATABASE_FIXTURES & set(getattr(item, "fixturenames", ()))
        or (of_class and issubclass(of_class, (TestCase, TransactionTestCase)))
    )


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Leave the counts where `manage.py test` reads them for its last lines."""
    path = os.environ.get("STUDIO_TEST_COUNTS")
    if path:
        counts = {
            outcome: len(terminalreporter.stats.get(outcome, ()))
            for outcome in ("passed", "failed", "error", "skipped", "deselected")
        }
        Path(path).write_text(json.dumps(counts), encoding="utf-8")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """SQLite in a file, as in the studio: in memory it locks otherwise, and threads cannot share it."""
    if connection.vendor == "sqlite":
        name = str(tmp_path_factory.mktemp("database") / "test.sqlite3")
        connection.settings_dict["TEST"]["NAME"] = name


@pytest.fixture(autouse=True, scope="session")
def _ledger_can_be_emptied_between_tests() -> Iterator[None]:
    """Tests of several threads commit, and are emptied after; the triggers that forbid this step aside."""
    flush = TransactionTestCase._fixture_teardown

    def emptied(test: TransactionTestCase) -> None:
        triggers.remove(connection)
        try:
            flush(test)
        finally:
            triggers.install(connection)

    TransactionTestCase._fixture_teardown = emptied
    yield
    TransactionTestCase._fixture_teardown = flush


# People and the studio -----------------------------------------------------------------------------


@pytest.fixture(scope="session")
def hashed_password() -> str:
    """`PASSWORD` as the database keeps it: made once, since a good hash is slow on purpose."""
    return make_password(PASSWORD)


@pytest.fixture
def owner(db: None, hashed_password: str) -> User:
    """Whoever runs the studio; signs in with PASSWORD."""
    user = User.objects.create(username="owner", password=hashed_password)
    user.groups.add(Group.objects.get_or_create(name=OWNER_GROUP)[0])
    return user


@pytest.fixture
def helper_user(db: None, hashed_password: str) -> User:
    """Somebody who works in the studio and does not run it; signs in with PASSWORD."""
    return User.objects.create(username="helper", password=hashed_password)


@pytest.fixture
def signed_in(owner: User) -> Client:
    """A client signed in as the owner."""
    return _just_signed_in(owner)


@pytest.fixture
def signed_in_helper(helper_user: User) -> Client:
    """A client signed in as a helper."""
    return _just_signed_in(helper_user)


def _just_signed_in(person: User) -> Client:
    client = Client()
    client.force_login(person)
    session = client.session
    session[PROVED_AT] = datetime.now(UTC).isoformat()
    session.save()
    return client


@pytest.fixture
def studio_open(db: None) -> StudioSettings:
    """One pair of hands, Monday to Friday 08:00 to 17:00, and the studio's row of facts."""
    WeeklyHours.objects.all().delete()
    WeeklyHours.objects.bulk_create(
        WeeklyHours(weekday=weekday, opens=time(8), closes=time(17), pairs=1) for weekday in range(5)
    )
    return StudioSettings.objects.update_or_create(pk=1, defaults={"name": "Samphire Lane"})[0]


@pytest.fixture(autouse=True)
def _nothing_remembered() -> Iterator[None]:
    """The cache outlives a test's transaction, so it is emptied."""
    yield
    cache.clear()


# Real services -------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """Address of a real PostgreSQL, started for this run."""
    need_program("initdb")
    need_program("postgres")
    with running_postgres() as address:
        yield address


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """Address of a real Redis, started for this run."""
    need_program("redis-server")
    with running_redis() as address:
        yield address


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Where the real Chromium is."""
    return need_program("chromium")


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Browser]:
    """A real Chromium, started once for the run."""
    with sync_playwright() as playwright:
        started = launch(playwright, chromium_path)
        yield started
        started.close()


@pytest.fixture
def page_phone(browser: Browser) -> Iterator[Page]:
    """A phone in the hand: 390 by 844, touch."""
    page = page_of(browser, PHONE)
    yield page
    page.context.close()


@pytest.fixture
def page_desk(browser: Browser) -> Iterator[Page]:
    """The screen on the packing table: 1280 by 800."""
    page = page_of(browser, DESK)
    yield page
    page.context.close()


@pytest.fixture(scope="session")
def axe() -> Callable[[Page], list[str]]:
    """Asks for the accessibility faults of a page, one line each."""
    return accessibility_faults


@pytest.fixture
def start_studio() -> Iterator[Callable[..., LiveStudio]]:
    """Starts live studios (demo=True, environment={...}); all are stopped after the test."""
    started: list[LiveStudio] = []

    def start(**options: Any) -> LiveStudio:
        studio = LiveStudio(**options)
        started.append(studio)
        return studio.start()

    yield start
    for studio in started:
        studio.clear()


@pytest.fixture(scope="module")
def live_studio() -> Iterator[LiveStudio]:
    """One live studio without demo entries, shared by the tests of a module."""
    studio = LiveStudio()
    try:
        yield studio.start()
    finally:
        studio.clear()


@pytest.fixture(scope="session")
def project() -> Path:
    """The folder of manage.py."""
    return Path(settings.BASE_DIR)
