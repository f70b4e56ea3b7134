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


class PostgresServer:
    """A server with its files in a folder of its own; it can be killed, and comes up again with what it had.

    Raises: ProgramMissing.
    """

    def __init__(self, *, listen: str = "127.0.0.1", port: int | None = None) -> None:
        initdb, self.program = find_program("initdb"), find_program("postgres")
        self.folder = Path(tempfile.mkdtemp(prefix="studio-postgres-"))
        self.cluster = self.folder / "cluster"
        self.account = _account(self.folder)
        self.listen, self.port = listen, port or free_port()
        self.address = f"postgres://studio@{listen}:{self.port}/postgres"
        self.running: subprocess.Popen[bytes] | None = None
        command = [initdb, "-D", str(self.cluster), "-U", "studio", "-A", "trust", "-E", "UTF8", "--no-sync"]
        with (self.folder / "initdb.log").open("wb") as log:
            subprocess.run(
                command, check=True, stdout=log, stderr=subprocess.STDOUT, cwd=self.folder, **self.account
            )

    def start(self, *before: str, wait: bool = True) -> None:
        """Start it, behind a command that runs it elsewhere if one is given; returns once it answers."""
        command = [*before, self.program, "-D", str(self.cluster), "-p", str(self.port), "-h", self.listen]
        # A test server may lose its files in a power cut; it may not be slow.
        command += ["-c", "unix_socket_directories=", "-c", "fsync=off", "-c", "max_connections=60"]
        until = time.monotonic() + START_SECONDS
        while True:
            with (self.folder / "server.log").open("ab") as log:
                # A command before it says itself who runs it.
                account = {} if before else self.account
                self.running = subprocess.Popen(
                    command, stdout=log, stderr=subprocess.STDOUT, cwd=self.folder, **account
                )
            if not wait or self._answers(until):
                return

    def _answers(self, until: float) -> bool:
        """Wait for its first answer; False where it ended and is to be started again.

        After a kill the next one refuses to start until the last of the old one's processes is gone.
        """
        while True:
            try:
                psycopg.connect(self.address, connect_timeout=5).close()
                return True
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    said = (self.folder / "server.log").read_text()[-2000:]
                    raise RuntimeError(f"PostgreSQL did not start:\n{said}") from None
                if self.running is None or self.running.poll() is not None:
                    time.sleep(0.1)
                    return False
                time.sleep(0.05)

    def kill(self) -> None:
        """End it with no chance to tidy up."""
        if self.running is not None:
            self.running.kill()
            self.running.wait()

    def clear(self) -> None:
        """Stop it and remove its files."""
        if self.running is not None and self.running.poll() is None:
            # Immediate shutdown is SIGQUIT; fast is SIGINT and lets the log end cleanly.
            self.running.send_signal(signal.SIGINT)
            self.running.wait(timeout=30)
        shutil.rmtree(self.folder, ignore_errors=True)


@contextlib.contextmanager
def running_postgres() -> Iterator[str]:
    """Start PostgreSQL, give its address as DATABASE_URL wants it, and stop it at the end.

    Raises: ProgramMissing.
    """
    server = PostgresServer()
    try:
        server.start()
        yield server.address
    finally:
        server.clear()


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
