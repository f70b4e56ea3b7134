"""A real PostgreSQL on a free port, with its files in a throw-away folder."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg

from tests.services.programs import find_program, free_port

START_SECONDS = 60


@contextlib.contextmanager
def running_postgres() -> Iterator[str]:
    """Start PostgreSQL, give its address as DATABASE_URL wants it, and stop it at the end.

    Raises: ProgramMissing.
    """
    initdb, postgres = find_program("initdb"), find_program("postgres")
    folder = Path(tempfile.mkdtemp(prefix="studio-postgres-"))
    account = _account(folder)
    port = free_port()
    server: subprocess.Popen[bytes] | None = None
    try:
        with (folder / "initdb.log").open("wb") as log:
            subprocess.run(
                [
                    initdb,
                    "-D",
                    str(folder / "cluster"),
                    "-U",
                    "studio",
                    "-A",
                    "trust",
                    "-E",
                    "UTF8",
                    "--no-sync",
                ],
                check=True,
                stdout=log,
                stderr=subprocess.STDOUT,
                cwd=folder,
                **account,
            )
        with (folder / "server.log").open("wb") as log:
            server = subprocess.Popen(
                # A test server may lose its files in a power cut; it may not be slow.
                [postgres, "-D", str(folder / "cluster"), "-p", str(port), "-h", "127.0.0.1"]
                + ["-c", "unix_socket_directories=", "-c", "fsync=off", "-c", "max_connections=60"],
                stdout=log,
                stderr=subprocess.STDOUT,
                cwd=folder,
                **account,
            )
        address = f"postgres://studio@127.0.0.1:{port}/postgres"
        _wait_for(server, address, folder / "server.log")
        yield address
    finally:
        if server is not None:
            # Immediate shutdown is SIGQUIT; fast is SIGINT and lets the log end cleanly.
            server.send_signal(signal.SIGINT)
            server.wait(timeout=30)
        shutil.rmtree(folder, ignore_errors=True)


def new_database(address: str) -> str:
    """Make one more database on the server at `address`; answers its own address."""
    name = f"studio_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f"create database {name}".encode())
    return f"{address.rpartition('/')[0]}/{name}"


def _account(folder: Path) -> dict[str, Any]:
    """Who runs the server: PostgreSQL refuses root, so root hands the folder to another account."""
    if os.geteuid() != 0:
        return {}
    names = {entry.pw_name: entry for entry in pwd.getpwall()}
    entry = names.get("postgres") or names["nobody"]
    os.chown(folder, entry.pw_uid, entry.pw_gid)
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}


def _wait_for(server: subprocess.Popen[bytes], address: str, log: Path) -> None:
    until = time.monotonic() + START_SECONDS
    while True:
        try:
            psycopg.connect(address, connect_timeout=5).close()
            return
        except psycopg.OperationalError:
            if server.poll() is not None or time.monotonic() > until:
                raise RuntimeError(f"PostgreSQL did not start:\n{log.read_text()[-2000:]}") from None
            time.sleep(0.1)
