"""A lock that one process of this machine can hold, and that its death opens."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import IO


class HeldElsewhere(Exception):
    """Another process has the lock; the message is what that process wrote into it."""


def take_lock(path: Path, note: str) -> IO[str]:
    """Hold the lock file at `path` as long as the file that is returned stays open, and write `note` into it.

    The system itself lets go when the process ends, however it ends, so a file left behind blocks nobody.
    Raises: HeldElsewhere.
    """
    handle = os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT, 0o600), "r+", encoding="utf-8")
    try:
        _lock(handle)
    except OSError:
        with handle:
            raise HeldElsewhere(handle.read().strip()) from None
    handle.seek(0)
    handle.truncate()
    handle.write(note)
    handle.flush()
    return handle


if sys.platform == "win32":
    import msvcrt

    # Beyond the note, since a locked byte cannot be read by others there.
    _FAR = 1 << 20

    def _lock(handle: IO[str]) -> None:
        handle.seek(_FAR)
        msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)
        handle.seek(0)
else:
    import fcntl

    def _lock(handle: IO[str]) -> None:
        fcntl.flock(handle.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
