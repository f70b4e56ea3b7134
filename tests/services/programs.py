"""Finding the real programs that some tests need, and saying what to install where one is missing."""

from __future__ import annotations

import os
import shutil
import socket
from pathlib import Path

import pytest

DEBIAN_PACKAGE = {
    "postgres": "postgresql",
    "initdb": "postgresql",
    "redis-server": "redis-server",
    "chromium": "chromium",
    "ip": "iproute2",
    "nginx": "nginx-light",
    "openssl": "openssl",
    "wrk": "wrk",
    "pdftotext": "poppler-utils",
    "pdftoppm": "poppler-utils",
}
OTHER_NAMES = {"chromium": ("chromium-browser", "google-chrome", "google-chrome-stable", "chrome")}


class ProgramMissing(Exception):
    """A program is not installed; the message is one line that says what to install."""


def find_program(name: str) -> str:
    """The path of a program, from PATH or from where Debian puts PostgreSQL.

    Raises: ProgramMissing.
    """
    for candidate in (name, *OTHER_NAMES.get(name, ())):
        found = shutil.which(candidate)
        if found:
            return found
    for found in sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), reverse=True):
        return str(found)
    raise ProgramMissing(
        f"{name} is not installed here. Install it first: apt-get install {DEBIAN_PACKAGE[name]}"
    )


def need_program(name: str) -> str:
    """The path of a program; skips the test where it is missing, or fails it where CI is set."""
    try:
        return find_program(name)
    except ProgramMissing as fault:
        if os.environ.get("CI"):
            pytest.fail(str(fault), pytrace=False)
        pytest.skip(str(fault))


def free_port() -> int:
    """A TCP port of this machine that nobody listens on just now."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])
