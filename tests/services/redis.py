"""A real Redis on a free port, keeping nothing."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import redis

from tests.services.programs import find_program, free_port

START_SECONDS = 30


@contextlib.contextmanager
def running_redis() -> Iterator[str]:
    """Start Redis, give its address as REDIS_URL wants it, and stop it at the end.

    Raises: ProgramMissing.
    """
    program = find_program("redis-server")
    folder = Path(tempfile.mkdtemp(prefix="studio-redis-"))
    port = free_port()
    with (folder / "server.log").open("wb") as log:
        server = subprocess.Popen(
            [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"],
            cwd=folder,
            stdout=log,
            stderr=subprocess.STDOUT,
        )
    try:
        _wait_for(server, port, folder / "server.log")
        yield f"redis://127.0.0.1:{port}/0"
    finally:
        server.terminate()
        server.wait(timeout=30)
        shutil.rmtree(folder, ignore_errors=True)


def _wait_for(server: subprocess.Popen[bytes], port: int, log: Path) -> None:
    until = time.monotonic() + START_SECONDS
    with redis.Redis(port=port) as client:
        while True:
            try:
                client.ping()
                return
            except redis.ConnectionError:
                if server.poll() is not None or time.monotonic() > until:
                    raise RuntimeError(f"Redis did not start:\n{log.read_text()[-2000:]}") from None
                time.sleep(0.05)
