"""`manage.py test`: all on SQLite, and what touches the database on a real PostgreSQL too, side by side."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import IO

from tests.services.postgres import running_postgres
from tests.services.programs import ProgramMissing, find_program

PROJECT = Path(__file__).resolve().parent.parent.parent
DATABASES = ("sqlite", "postgresql", "both")
NOTHING_COLLECTED = 5
# What runs beside SQLite, with its part of the tests; PostgreSQL chooses its own.
BESIDE = {"PostgreSQL": "", "services and browsers": "services", "no database": "pure"}
WIDTH = 100


@dataclass
class Outcome:
    """How one run of pytest ended."""

    database: str
    status: int
    words: str

    @property
    def is_good(self) -> bool:
        """Whether nothing went wrong; finding no test to run is for the caller to judge."""
        return self.status in (0, NOTHING_COLLECTED)


def run(arguments: list[str]) -> int:
    """Run pytest with these arguments, on both databases unless --database names one; the exit status."""
    database, arguments = _chosen_database(arguments)
    if database == "sqlite":
        outcomes = [_pytest("SQLite", arguments)]
    elif database == "postgresql":
        outcomes = [_on_postgres(arguments)]
    else:
        outcomes = _on_both(arguments)
    print()
    for outcome in outcomes:
        print(f" {outcome.database}: {outcome.words} ".center(WIDTH, "="))
    return _status(outcomes)


def _status(outcomes: list[Outcome]) -> int:
    """The first fault; else good, as long as some test ran somewhere."""
    for outcome in outcomes:
        if not outcome.is_good:
            return outcome.status
    return 0 if any(outcome.status == 0 for outcome in outcomes) else NOTHING_COLLECTED


def _chosen_database(arguments: list[str]) -> tuple[str, list[str]]:
    rest = list(arguments)
    chosen = "both"
    for place, argument in enumerate(arguments):
        if argument.startswith("--database="):
            chosen = argument.partition("=")[2]
            rest.remove(argument)
        elif argument == "--database":
            chosen = arguments[place + 1] if place + 1 < len(arguments) else ""
            del rest[place : place + 2]
    if chosen not in DATABASES:
        sys.exit(f"--database is one of {', '.join(DATABASES)}, not {chosen!r}.")
    return chosen, rest


def _on_both(arguments: list[str]) -> list[Outcome]:
    """Four runs side by side: what they say is shown as each has ended, SQLite's as it comes."""
    with contextlib.ExitStack() as stack:
        beside = stack.enter_context(ThreadPoolExecutor(len(BESIDE)))
        others = []
        for name in BESIDE:
            said = stack.enter_context(_kept_aside())
            run_it = _on_postgres if name == "PostgreSQL" else partial(_pytest, name, part=BESIDE[name])
            others.append((said, beside.submit(run_it, arguments, said=said)))
        outcomes = [_pytest("SQLite", arguments, part="database", beside_postgres=_has_postgres())]
        for said, other in others:
            outcomes.append(other.result())
            said.seek(0)
            print(said.read(), flush=True)
    return outcomes


def _has_postgres() -> bool:
    with contextlib.suppress(ProgramMissing):
        return bool(find_program("initdb"))
    return False


def _kept_aside() -> IO[str]:
    return tempfile.TemporaryFile("w+", encoding="utf-8", errors="replace")


def _on_postgres(arguments: list[str], said: IO[str] | None = None) -> Outcome:
    try:
        with running_postgres() as address:
            return _pytest("PostgreSQL", arguments, database_url=address, said=said)
    except ProgramMissing as fault:
        missing_status = 1 if os.environ.get("CI") else 0
        return Outcome("PostgreSQL", missing_status, f"{'FAILED' if missing_status else 'skipped'}: {fault}")


def _pytest(
    database: str,
    arguments: list[str],
    *,
    part: str = "",
    beside_postgres: bool = False,
    database_url: str | None = None,
    said: IO[str] | None = None,
) -> Outcome:
    with _counts_file() as counts:
        environment = {**os.environ, "STUDIO_TEST_COUNTS": str(counts), "STUDIO_TEST_PART": part}
        environment.pop("DATABASE_URL", None)
        if beside_postgres:
            environment["STUDIO_TEST_BESIDE_POSTGRES"] = "1"
        if database_url:
            environment["DATABASE_URL"] = database_url
        print(f" Tests on {database} ".center(WIDTH, "="), file=said, flush=True)
        began = time.monotonic()
        command = [sys.executable, "-m", "pytest", *arguments]
        status = subprocess.call(command, cwd=PROJECT, env=environment, stdout=said, stderr=said)
        return Outcome(database, status, _words(counts, time.monotonic() - began, status))


def _words(counts: Path, seconds: float, status: int) -> str:
    if not counts.exists() or not counts.stat().st_size:
        return f"ended with exit status {status}"
    found = json.loads(counts.read_text(encoding="utf-8"))
    parts = [f"{found[name]} {name}" for name in ("failed", "error", "passed", "skipped") if found[name]]
    return f"{', '.join(parts) or 'no tests ran'} in {seconds:.1f}s"


@contextlib.contextmanager
def _counts_file() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder) / "counts.json"
