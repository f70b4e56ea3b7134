"""Putting a copy in the place of the studio, and an upgrade that leaves all as it was when it fails."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor

from shopfloor.backups.databases import (
    POSTGRESQL,
    POSTGRESQL_FILE,
    SQLITE_FILE,
    copy_database,
    kind_of_database,
    put_postgres_back,
    put_sqlite_back,
)
from shopfloor.backups.errors import CopyNotMade, NotRestored
from shopfloor.backups.making import SECRET, SENT_IN, make_copy, tried
from shopfloor.studio.same_machines import mark_folder

SET_ASIDE = "set-aside"


@dataclass(frozen=True)
class Restored:
    """What came back, and where what was here before is kept (None when there was nothing)."""

    made_at: datetime
    entries: int | None
    set_aside: Path | None


def restore(archive: Path, *, now: datetime) -> Restored:
    """Put a copy in the place of the studio, after trying it; nobody may have the studio open.

    What was here before is first kept in a copy of its own. A copy that does not open, or is of a newer
    version, changes nothing.

    Changes: database, secret and sent-in files. Again: the same.
    Raises: CopyNotGood; NotRestored.
    """
    with tried(archive) as good:
        aside = _set_aside(now)
        if good.contents.database == POSTGRESQL:
            put_postgres_back(good.folder / POSTGRESQL_FILE)
        else:
            put_sqlite_back(good.folder / SQLITE_FILE)
        if (good.folder / SECRET).exists():
            os.replace(good.folder / SECRET, settings.STUDIO_DIR / SECRET)
        _put_sent_in_back(good.folder / SENT_IN)
        mark_folder()
        return Restored(datetime.fromisoformat(good.contents.made_at), good.entries, aside)


def _set_aside(now: datetime) -> Path | None:
    """Keep what is here now in a copy; None where nothing is."""
    if not connection.introspection.table_names():
        return None
    folder = settings.STUDIO_DIR / SET_ASIDE
    folder.mkdir(mode=0o700, exist_ok=True)
    target: Path = folder / f"studio-{now.strftime('%Y-%m-%dT%H%M%SZ')}.tar.gz"
    try:
        make_copy(target, now=now)
    except CopyNotMade as fault:
        raise NotRestored(
            f"What is here now could not be set aside, so nothing was restored. {fault.message}"
        ) from fault
    return target


def _put_sent_in_back(folder: Path) -> None:
    """The sent-in files of the copy, in the place of those that are here."""
    here: Path = settings.SHARED_DIR / SENT_IN
    shutil.rmtree(here, ignore_errors=True)
    if folder.is_dir():
        os.replace(folder, here)


@contextlib.contextmanager
def all_or_nothing() -> Iterator[None]:
    """What is done to the tables within is kept whole, or the database is put back as it was.

    PostgreSQL does that by one transaction. SQLite cannot remake tables in one, so its file is copied before
    and put back after a fault.
    """
    if kind_of_database() == POSTGRESQL:
        with transaction.atomic():
            yield
        return
    with contextlib.ExitStack() as stack:
        folder: Path = settings.STUDIO_DIR / "upgrading"
        folder.mkdir(mode=0o700, exist_ok=True)
        stack.callback(shutil.rmtree, folder, ignore_errors=True)
        before = copy_database(folder)
        try:
            yield
        except BaseException:
            put_sqlite_back(before)
            raise


def upgrade_is_due() -> bool:
    """Whether a studio with tables is here that this version would change."""
    if not connection.introspection.table_names():
        return False
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
