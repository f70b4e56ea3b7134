"""Making a copy of everything while the studio is open, and trying whether a studio can live on from it."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from shopfloor.backups.archive import Contents, unpack, write_archive
from shopfloor.backups.databases import (
    POSTGRESQL,
    POSTGRESQL_FILE,
    SQLITE,
    SQLITE_FILE,
    copy_database,
    kind_of_database,
    tried_on_postgres,
)
from shopfloor.backups.errors import CopyNotGood
from shopfloor.bootstrap import PROJECT

SECRET = "secret"
# What was sent in: order files, photos.
SENT_IN = "media"
COPYING, TRYING = "copying-", "trying-"
# No copy takes so long: its folder was left behind by a studio that was killed.
LEFT_BEHIND_AFTER = timedelta(hours=6)


@dataclass(frozen=True)
class Tried:
    """A copy that was unpacked and found good: a studio could open in `folder`.

    `entries`: ledger entries that agreed; None where the dump could only be read through.
    """

    folder: Path
    contents: Contents
    entries: int | None


def make_copy(target: Path, *, now: datetime) -> int:
    """Write database, secret and sent-in files into one new file; answers its size in bytes.

    Raises: CopyNotMade.
    """
    with tempfile.TemporaryDirectory(dir=settings.STUDIO_DIR, prefix=COPYING) as folder:
        database = copy_database(Path(folder))
        files = {database.name: database}
        if (settings.STUDIO_DIR / SECRET).exists():
            files[SECRET] = settings.STUDIO_DIR / SECRET
        for path in sorted((settings.SHARED_DIR / SENT_IN).rglob("*")):
            if path.is_file():
                files[str(path.relative_to(settings.SHARED_DIR))] = path
        applied = MigrationLoader(connection).applied_migrations
        return write_archive(
            target,
            files,
            made_at=now.isoformat(),
            database=kind_of_database(),
            migrations=tuple(sorted(f"{app}.{name}" for app, name in applied)),
        )


@contextlib.contextmanager
def tried(archive: Path) -> Iterator[Tried]:
    """Unpack a copy beside the studio, bring it up to this version, and reckon its ledger anew.

    The folder is gone afterwards, except for what was moved out of it.
    Raises: CopyNotGood.
    """
    with tempfile.TemporaryDirectory(dir=settings.STUDIO_DIR, prefix=TRYING) as name:
        folder = Path(name)
        contents = unpack(archive, folder)
        _refuse_foreign(archive, contents)
        if contents.database == POSTGRESQL:
            with tried_on_postgres(folder / POSTGRESQL_FILE) as address:
                entries = _reckoned(archive, folder, address) if address else None
                yield Tried(folder, contents, entries)
            return
        if not (folder / SQLITE_FILE).exists():
            raise CopyNotGood(f"{archive.name} has no database in it. Take another copy.")
        yield Tried(folder, contents, _reckoned(archive, folder, ""))


def clear_left_behind(*, now: datetime) -> None:
    """Remove the folders of copies and tries that were cut off: each holds the whole database."""
    for prefix in (COPYING, TRYING):
        for folder in settings.STUDIO_DIR.glob(f"{prefix}*"):
            with contextlib.suppress(FileNotFoundError):
                if datetime.fromtimestamp(folder.stat().st_mtime, UTC) < now - LEFT_BEHIND_AFTER:
                    shutil.rmtree(folder, ignore_errors=True)


def _refuse_foreign(archive: Path, contents: Contents) -> None:
    if contents.database != kind_of_database():
        names = {SQLITE: "SQLite", POSTGRESQL: "PostgreSQL"}
        there, here = names.get(contents.database, "another database"), names[kind_of_database()]
        raise CopyNotGood(
            f"{archive.name} is of a studio on {there}, and this one is on {here}. Restore it there first;"
            " move_studio takes it along."
        )
    known = {f"{app}.{name}" for app, name in MigrationLoader(connection).disk_migrations}
    newer = sorted(set(contents.migrations) - known)
    if newer:
        raise CopyNotGood(
            f"{archive.name} was made by a newer version of this program (it knows {newer[0]})."
            " Install that version first."
        )


def _reckoned(archive: Path, folder: Path, address: str) -> int:
    """How many ledger entries of a copy agree, reckoned by a process that sees only the copy."""
    environment = {**os.environ, "STUDIO_DIR": str(folder), "DATABASE_URL": address}
    if not address:
        del environment["DATABASE_URL"]
    done = subprocess.run(
        [sys.executable, "-m", "shopfloor.backups.trial"],
        cwd=PROJECT,
        env=environment,
        check=False,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        last = done.stderr.strip().splitlines()[-1:] or ["no reason given"]
        raise CopyNotGood(f"{archive.name} cannot be opened: {last[0]} Take another copy.")
    found = json.loads(done.stdout.splitlines()[-1])
    if found["faults"]:
        raise CopyNotGood(f"The ledger in {archive.name} does not agree: {found['faults'][0]}.")
    return int(found["entries"])
