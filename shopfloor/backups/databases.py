"""Copying a database while it is used, and putting a copy back."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote
from uuid import uuid4

from django.conf import settings
from django.db import connection

from shopfloor.backups.errors import CopyNotGood, CopyNotMade, NotRestored

SQLITE, POSTGRESQL = "sqlite", "postgresql"
# The numbers of PostgreSQL's locks, for changing tables and for trying a copy: any that nobody else uses.
_TABLES, _TRY = 8_241_907, 8_241_908
SQLITE_FILE, POSTGRESQL_FILE = "studio.sqlite3", "studio.pgdump"


def kind_of_database() -> str:
    """Which of the two this studio uses."""
    return SQLITE if connection.vendor == "sqlite" else POSTGRESQL


def copy_database(folder: Path) -> Path:
    """Write a copy of the studio's database into `folder`; answers the file.

    Raises: CopyNotMade.
    """
    if kind_of_database() == SQLITE:
        return _copy_sqlite(Path(settings.DATABASES["default"]["NAME"]), folder / SQLITE_FILE)
    return _copy_postgres(folder / POSTGRESQL_FILE)


def _copy_sqlite(source: Path, target: Path) -> Path:
    if not source.exists():
        raise CopyNotMade(f"There is no database at {source} yet. Start the studio first.")
    try:
        with (
            contextlib.closing(sqlite3.connect(source)) as here,
            contextlib.closing(sqlite3.connect(target)) as there,
        ):
            # All pages in one step: in smaller steps every write of somebody else begins the copy again.
            here.backup(there, pages=-1)
            # A single file, without a journal of its own beside it.
            there.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.Error as fault:
        raise CopyNotMade(f"The database could not be copied: {fault}.") from fault
    return target


def put_sqlite_back(copy: Path) -> None:
    """Put a copy in the place of the studio's SQLite file, in one step; nobody may have it open."""
    connection.close()
    place = Path(settings.DATABASES["default"]["NAME"])
    for beside in ("-wal", "-shm"):
        Path(f"{place}{beside}").unlink(missing_ok=True)
    os.replace(copy, place)


def _copy_postgres(target: Path) -> Path:
    _run("pg_dump", "--format=custom", f"--file={target}", CopyNotMade)
    return target


def put_postgres_back(copy: Path) -> None:
    """Put a dump in the place of the tables of the studio's PostgreSQL database: all of it or nothing.

    Raises: NotRestored.
    """
    connection.close()
    _run("pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction", str(copy), NotRestored)


@contextlib.contextmanager
def tried_on_postgres(copy: Path) -> Iterator[str | None]:
    """The address of a throw-away database with a dump put into it; None where none may be made.

    Without that right the dump is only read through. What an earlier try left behind goes first: a studio
    that is killed meanwhile cannot drop its own. One try at a time: none that goes on is taken for left over.
    Raises: CopyNotGood.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolcreatedb OR rolsuper FROM pg_roles WHERE rolname = current_user")
        if not cursor.fetchone()[0]:
            _run("pg_restore", f"--file={os.devnull}", str(copy), CopyNotGood, database=None)
            yield None
            return
    with _alone(_TRY):
        ours = _name_of_tries()
        _drop_tries(ours)
        name = f"{ours}{uuid4().hex[:12]}"
        with connection.cursor() as cursor:
            cursor.execute(f'CREATE DATABASE "{name}"')
        try:
            _run("pg_restore", "--no-owner", "--exit-on-error", str(copy), CopyNotGood, database=name)
            yield _address(name)
        finally:
            _drop_tries(ours)


def _name_of_tries() -> str:
    """How names of this studio's throw-away databases begin: with the number of its own on the server."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT oid FROM pg_database WHERE datname = current_database()")
        return f"studio_try_{cursor.fetchone()[0]}_"


def _drop_tries(ours: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT datname FROM pg_database WHERE starts_with(datname::text, %s)", [ours])
        for (name,) in cursor.fetchall():
            # By force: the program that filled it may outlive the studio that was killed.
            cursor.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


@contextlib.contextmanager
def alone_with_tables() -> Iterator[None]:
    """Nobody else changes tables meanwhile: of several machines that start together the others wait.

    A SQLite file belongs to one machine, where `up` is alone by its own lock.
    """
    if kind_of_database() == SQLITE:
        yield
        return
    with _alone(_TABLES):
        yield


@contextlib.contextmanager
def _alone(number: int) -> Iterator[None]:
    """Hold one of PostgreSQL's locks, which ends with the connection that holds it."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [number])
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [number])


def _run(program: str, *arguments: Any, database: str | None = "") -> None:
    """Run one of PostgreSQL's tools on the studio's server; the last argument is the error to raise."""
    *given, refusal = arguments
    there: dict[str, Any] = settings.DATABASES["default"]
    command = [program, *given]
    if database is not None:
        places = {"HOST": "-h", "PORT": "-p", "USER": "-U"}
        command += [
            part for key, flag in places.items() if there.get(key) for part in (flag, str(there[key]))
        ]
        command += ["--dbname", database or there["NAME"]]
    if shutil.which(program) is None:
        raise refusal(f"{program} is not installed here: apt-get install postgresql-client")
    # The password by the environment, since a command line can be read by everybody on the machine.
    environment = {**os.environ, "PGPASSWORD": str(there.get("PASSWORD") or "")}
    done = subprocess.run(command, check=False, env=environment, capture_output=True, text=True)
    if done.returncode:
        raise refusal(f"{program} says: {done.stderr.strip().splitlines()[-1] if done.stderr else 'nothing'}")


def _address(name: str) -> str:
    """The address of another database of the studio's server, as DATABASE_URL wants it."""
    there: dict[str, Any] = settings.DATABASES["default"]
    who = quote(str(there.get("USER") or ""), safe="")
    if there.get("PASSWORD"):
        who += ":" + quote(str(there["PASSWORD"]), safe="")
    host, port = there.get("HOST") or "localhost", there.get("PORT") or 5432
    return f"postgres://{who}@{host}:{port}/{name}"
