"""Worker and clock of a throw-away studio, as children of the test instead of `manage.py up`."""

from __future__ import annotations

import atexit
import contextlib
import functools
import json
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from tests.services.live import PROJECT, LiveStudio

WAIT_SECONDS = 60


@functools.cache
def _empty_database() -> Path:
    """A migrated database without rows, made once: migrating takes longer than most of these tests."""
    studio = LiveStudio()
    atexit.register(studio.clear)
    studio.run("migrate", "--verbosity", "0")
    with contextlib.closing(sqlite3.connect(studio.directory / "studio.sqlite3")) as file:
        # Everything into the one file that is copied.
        file.execute("pragma wal_checkpoint(truncate)")
    return studio.directory / "studio.sqlite3"


class Children:
    """A studio folder with a database, in which single children can be started and killed."""

    def __init__(self, **environment: str) -> None:
        self.studio = LiveStudio(
            environment={
                "JOB_RING_SECONDS": "1",
                "JOB_LEASE_SECONDS": "2",
                "NOTICE_SECONDS": "600",
                **environment,
            }
        )
        self.diary = self.studio.directory / "diary"
        self.running: dict[str, subprocess.Popen[bytes]] = {}
        if "DATABASE_URL" in environment:
            self.studio.run("migrate", "--verbosity", "0")
        else:
            shutil.copy(_empty_database(), self.studio.directory / "studio.sqlite3")

    def start(self, *names: str) -> None:
        """Start children: worker, beat."""
        for name in names:
            with (self.studio.directory / f"{name}.log").open("ab") as log:
                self.running[name] = subprocess.Popen(
                    [sys.executable, "-m", "tests.services.slow_worker", name],
                    cwd=PROJECT,
                    env={**self.studio.environment, "DJANGO_SETTINGS_MODULE": "shopfloor.settings"},
                    stdin=subprocess.PIPE,
                    stdout=log,
                    stderr=subprocess.STDOUT,
                )

    def kill(self, name: str) -> None:
        """End a child with no chance to tidy up."""
        self.running[name].send_signal(signal.SIGKILL)
        self.running.pop(name).wait()

    def ask(self, kind: str, **payload: Any) -> None:
        """Ask for a job in a process of its own, as a page would."""
        self.shell(
            "from datetime import UTC, datetime\n"
            "from shopfloor.jobs.operations import ask\n"
            f"ask({kind!r}, {kind!r}, {json.dumps(payload)}, now=datetime.now(UTC))"
        )

    def ask_slow(self, seconds: float, mark: str = "slow") -> None:
        """Ask for a job that takes so long and then adds one closed day."""
        self.ask("slow", seconds=seconds, mark=mark, diary=str(self.diary))

    def shell(self, code: str) -> str:
        """Run code in the studio."""
        return self.studio.run("shell", "--verbosity", "0", "-c", code).stdout

    def rows(self, sql: str) -> list[Any]:
        """What is in the database."""
        return self.studio.rows(sql)

    def wait_for(self, sql: str, wanted: list[Any]) -> None:
        """Wait until a query gives what is wanted."""
        until = time.monotonic() + WAIT_SECONDS
        while (found := self.rows(sql)) != wanted:
            if time.monotonic() > until:
                logs = "".join(log.read_text() for log in Path(self.studio.directory).glob("*.log"))
                raise AssertionError(f"Still {found}, not {wanted}\n{logs[-3000:]}")
            time.sleep(0.05)

    def begun(self, times: int) -> None:
        """Wait until the slow job has begun so many times."""
        until = time.monotonic() + WAIT_SECONDS
        while not self.diary.exists() or self.diary.read_text().count("begun") < times:
            if time.monotonic() > until:
                raise AssertionError(f"Not begun {times} times within {WAIT_SECONDS} s")
            time.sleep(0.02)

    def clear(self) -> None:
        """End everything and remove the folder."""
        for child in self.running.values():
            child.kill()
            child.wait()
        self.studio.clear()
