"""A live studio: `manage.py up` in a process of its own, with its own folder, port and database."""

from __future__ import annotations

import atexit
import contextlib
import functools
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg
from playwright.sync_api import Page

from tests.services.programs import free_port

PROJECT = Path(__file__).resolve().parent.parent.parent
START_SECONDS = 90
STOP_SECONDS = 40
NOT_PASSED_ON = {
    "DATABASE_URL",
    "STATICFILES_BACKEND",
    "DJANGO_ALLOW_ASYNC_UNSAFE",
    "DJANGO_SETTINGS_MODULE",
    "STUDIO_TEST_COUNTS",
}
PASSWORD = "tide-table-and-samphire"


@functools.cache
def _empty_tables() -> Path:
    """The file of a studio in which nothing happened yet: made once, since that takes seconds."""
    folder = Path(tempfile.mkdtemp(prefix="studio-tables-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    kept = {name: value for name, value in os.environ.items() if name not in NOT_PASSED_ON}
    environment = {**kept, "STUDIO_DIR": str(folder), "SHOPFLOOR_ENVIRONMENT": "own"}
    command = [sys.executable, "manage.py", "migrate", "--skip-checks", "-v0"]
    subprocess.run(command, cwd=PROJECT, env=environment, check=True)
    # The last of what was written may still be in the file beside it.
    target = folder / "tables.sqlite3"
    with (
        contextlib.closing(sqlite3.connect(folder / "studio.sqlite3")) as file,
        contextlib.closing(sqlite3.connect(target)) as copy,
    ):
        file.backup(copy)
        # Else each of these studios would make the copy of the night as soon as its clock rings.
        copy.execute(
            "insert into backups_keptcopy (made_at, why, name, size_bytes, fault, second_fault)"
            " values (?, 'night', 'none', 0, '', '')",
            [datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S")],
        )
        copy.commit()
    return target


class LiveStudio:
    """One running studio. `start()` it, use `address`, `link` and `run(...)`, then `stop()` it."""

    def __init__(
        self,
        *,
        demo: bool = False,
        environment: dict[str, str] | None = None,
        host: str = "127.0.0.1",
        before: tuple[str, ...] = (),
        options: tuple[str, ...] = (),
        fresh: bool = False,
    ) -> None:
        """`fresh` leaves it to the first `up` to make the tables; else they are there already, and empty."""
        self.directory = Path(tempfile.mkdtemp(prefix="studio-live-"))
        self.port = free_port()
        self.host, self.before, self.options = host, before, options
        self.address = f"http://{host}:{self.port}"
        self.demo = demo
        self.log = self.directory / "up.log"
        self.environment = self._environment(environment or {})
        if not fresh and "DATABASE_URL" not in self.environment:
            shutil.copy(_empty_tables(), self.directory / "studio.sqlite3")
        self.up: subprocess.Popen[bytes] | None = None

    def _environment(self, more: dict[str, str]) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if name not in NOT_PASSED_ON}
        return {
            **kept,
            "STUDIO_DIR": str(self.directory),
            "SITE_ADDRESS": self.address,
            "SHOPFLOOR_ENVIRONMENT": "own",
            "PYTHONUNBUFFERED": "1",
            **more,
        }

    def start(self) -> LiveStudio:
        """Run `manage.py up` and wait until its first page answers."""
        self.open_up()
        until = time.monotonic() + START_SECONDS
        while not self.answers():
            if self.up is None or self.up.poll() is not None or time.monotonic() > until:
                self.stop()
                raise RuntimeError(f"The studio did not start:\n{self.said()[:2000]}")
            time.sleep(0.1)
        return self

    def open_up(self) -> None:
        """Run `manage.py up` without waiting for it."""
        options = [*self.options, *(["--demo"] if self.demo else []), "--host", self.host]
        with self.log.open("ab") as log:
            self.up = subprocess.Popen(
                [*self.before, sys.executable, "manage.py", "up", "--port", str(self.port), *options],
                cwd=PROJECT,
                env=self.environment,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                # Its own group, so that a Ctrl-C can be sent to it as a terminal would.
                start_new_session=True,
            )

    def answers(self) -> bool:
        """Whether a page answers."""
        try:
            with urllib.request.urlopen(f"{self.address}/sign-in/", timeout=10) as answer:
                return bool(answer.status == 200)
        except urllib.error.HTTPError as fault:
            raise RuntimeError(f"The first page failed: {fault}\n{self.said()[:4000]}") from fault
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            return False

    def said(self) -> str:
        """Everything `up` has printed."""
        return self.log.read_text(encoding="utf-8", errors="replace")

    @property
    def link(self) -> str:
        """The newest sign-in link that was printed."""
        return re.findall(r"https?://\S+/sign-in/link/\S+", self.said())[-1]

    def run(self, *arguments: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        """One `manage.py` command in this studio, to its end."""
        return subprocess.run(
            [*self.before, sys.executable, "manage.py", *arguments],
            cwd=PROJECT,
            env=self.environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=check,
            timeout=300,
        )

    def rows(self, sql: str) -> list[Any]:
        """What is in the database."""
        address = self.environment.get("DATABASE_URL")
        if address:
            with psycopg.connect(address) as server:
                return server.execute(sql.encode()).fetchall()
        with contextlib.closing(sqlite3.connect(self.directory / "studio.sqlite3", timeout=20)) as file:
            return file.execute(sql).fetchall()

    def new_link(self) -> str:
        """A fresh sign-in link for the owner."""
        said = self.run("sign_in_link").stdout
        return re.findall(r"https?://\S+/sign-in/link/\S+", said)[-1]

    def sign_in(self, page: Page) -> None:
        """Sign the page's browser in as the owner by a fresh link, and set a password where one is asked."""
        page.goto(self.new_link())
        page.click("main button.full")
        if page.locator("input[name=new_password1]").count():
            page.fill("input[name=new_password1]", PASSWORD)
            page.fill("input[name=new_password2]", PASSWORD)
            page.click("main button.full")

    def stop(self, *, how: signal.Signals = signal.SIGTERM) -> int:
        """End the studio and answer the exit status of `up`."""
        if self.up is None:
            return 0
        if self.up.poll() is None:
            self.up.send_signal(how)
        try:
            return self.up.wait(timeout=STOP_SECONDS)
        except subprocess.TimeoutExpired:
            self.up.kill()
            raise RuntimeError(f"The studio did not stop:\n{self.said()[-2000:]}") from None

    def clear(self) -> None:
        """Stop if need be, and remove the folder."""
        try:
            self.stop()
        finally:
            shutil.rmtree(self.directory, ignore_errors=True)
