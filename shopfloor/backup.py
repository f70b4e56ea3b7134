"""A copy of everything in one file, taken while the studio is open."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import tarfile
import tempfile
from pathlib import Path
from typing import Any

from django.conf import settings

KEPT_FOLDERS = ("media",)


class BackupFailed(Exception):
    """The copy could not be made; the message says why."""


def make_backup(target: Path) -> int:
    """Write database, secret and sent-in files into a compressed tar at `target`; answers its size in bytes.

    Only its owner can read the file. It appears whole or not at all.
    Raises: BackupFailed; FileExistsError rather than overwrite.
    """
    if target.exists():
        raise FileExistsError(f"{target} is there already. Name another file.")
    if not target.parent.is_dir():
        raise BackupFailed(f"There is no folder {target.parent}. Make it first.")
    with tempfile.TemporaryDirectory() as folder:
        copy = _database_copy(Path(folder))
        aside = target.with_name(target.name + ".part")
        handle = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file, tarfile.open(fileobj=file, mode="w:gz") as tar:
            tar.add(copy, arcname=copy.name)
            if (settings.STUDIO_DIR / "secret").exists():
                tar.add(settings.STUDIO_DIR / "secret", arcname="secret")
            for name in KEPT_FOLDERS:
                if (settings.STUDIO_DIR / name).is_dir():
                    tar.add(settings.STUDIO_DIR / name, arcname=name)
        os.replace(aside, target)
    return target.stat().st_size


def _database_copy(folder: Path) -> Path:
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        return _sqlite_copy(Path(database["NAME"]), folder / "studio.sqlite3")
    return _postgres_copy(database, folder / "studio.pgdump")


def _sqlite_copy(source: Path, target: Path) -> Path:
    if not source.exists():
        raise BackupFailed(f"There is no database at {source} yet. Start the studio first.")
    with sqlite3.connect(source) as here, sqlite3.connect(target) as there:
        # All pages in one step: in smaller steps every write of somebody else begins the copy again.
        here.backup(there, pages=-1)
    here.close()
    there.close()
    return target


def _postgres_copy(database: dict[str, Any], target: Path) -> Path:
    places = {"HOST": "-h", "PORT": "-p", "USER": "-U"}
    where = [part for key, flag in places.items() if database.get(key) for part in (flag, str(database[key]))]
    command = ["pg_dump", "--format=custom", f"--file={target}", *where, "--dbname", database["NAME"]]
    # By the environment, since a command line can be read by everybody on the machine.
    environment = {**os.environ, "PGPASSWORD": str(database.get("PASSWORD") or "")}
    try:
        subprocess.run(command, check=True, env=environment, capture_output=True, text=True)
    except FileNotFoundError:
        raise BackupFailed("pg_dump is not installed here: apt-get install postgresql-client") from None
    except subprocess.CalledProcessError as fault:
        raise BackupFailed(f"pg_dump could not copy the database: {fault.stderr.strip()}") from fault
    return target
