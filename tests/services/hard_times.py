"""A disk of a studio's own that can be filled up and write-protected."""

from __future__ import annotations

import contextlib
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

from tests.services.programs import ProgramMissing


@contextlib.contextmanager
def small_disk(folder: Path, megabytes: int) -> Iterator[None]:
    """A disk of so many megabytes in the place of a folder, as root on Linux.

    Raises: ProgramMissing.
    """
    _mount("-t", "tmpfs", "-o", f"size={megabytes}m,mode=700", "studio", str(folder))
    try:
        yield
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


def write_protect(folder: Path, *, is_on: bool) -> None:
    """Have the disk of a folder refuse to be written to, or take it back."""
    _mount("-o", f"remount,{'ro' if is_on else 'rw'}", str(folder))


def fill_up(folder: Path) -> Path:
    """Write until nothing fits any more; answers the file that takes the room."""
    filler = folder / "filler"
    with filler.open("wb", buffering=0) as file, contextlib.suppress(OSError):
        while True:
            file.write(b"\0" * 4096)
    return filler


def _mount(*words: str) -> None:
    if os.geteuid() != 0:
        raise ProgramMissing("Mounting a small disk needs Linux and root.")
    subprocess.run(["mount", *words], check=True)
