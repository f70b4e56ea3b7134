"""Keeping a copy, and an upgrade that fails: in a studio of its own, since both touch the database's file."""

from __future__ import annotations

import json
import sqlite3

import pytest

from tests.services.live import LiveStudio

pytestmark = pytest.mark.services

KEEP_THREE = """
import json, os, pathlib
from datetime import timedelta
from django.conf import settings
from shopfloor.backups.operations import keep_copy
from shopfloor.backups.queries import copies_failed, is_due
from shopfloor.studio.port import LiveStudio
now = LiveStudio().now()
second = pathlib.Path(settings.COPIES_SECOND_DIR)
first = keep_copy(why="night", now=now - timedelta(days=1))
noticed = [condition.text for condition in copies_failed()]
second.mkdir()
for name, hours in (("trying-cut-off", 7), ("copying-going-on", 1)):
    left = settings.STUDIO_DIR / name
    left.mkdir()
    os.utime(left, ((now - timedelta(hours=hours)).timestamp(),) * 2)
keep_copy(why="night", now=now - timedelta(minutes=2))
newest = keep_copy(why="asked", now=now)
settings.COPIES_DIR = "/proc/no/folder"
failed = keep_copy(why="night", now=now + timedelta(seconds=1))
print(json.dumps({
    "first": first.second_fault, "noticed": noticed,
    "newest": [newest.name, newest.entries, newest.second_fault],
    "failed": [failed.name, failed.fault], "noticed after": [condition.text for condition in copies_failed()],
    "due": [is_due(now + timedelta(hours=hours), now + timedelta(hours=hours - 1)) for hours in (2, 0)],
}))
"""

UPGRADE_THAT_FAILS = """
from django.db import connection
from shopfloor.backups.restoring import all_or_nothing
try:
    with all_or_nothing():
        with connection.cursor() as cursor:
            cursor.execute("DROP TABLE studio_closedday")
            cursor.execute("ALTER TABLE studio_studiosettings ADD COLUMN half_done text")
        raise RuntimeError("no room")
except RuntimeError as fault:
    print("failed:", fault)
"""


@pytest.fixture
def studio(tmp_path):
    made = LiveStudio(environment={"BACKUP_SECOND_DIR": str(tmp_path / "second")}, fresh=True)
    made.run("migrate", "--verbosity", "0")
    yield made
    made.clear()


def test_each_night_a_copy_is_kept_tried_and_put_aside_and_what_fails_is_said(studio, tmp_path):
    said = studio.run("shell", "--no-imports", "-c", KEEP_THREE).stdout
    found = json.loads(said.strip().splitlines()[-1])

    missing = f"The second folder {tmp_path / 'second'} is not there."
    assert (found["first"], found["noticed"]) == (missing, [f"Backup failed. {missing}"])
    name, entries, second_fault = found["newest"]
    assert (entries, second_fault) == (0, "")
    kept = {path.name for path in (studio.directory / "copies").iterdir()}
    # Of today only the newest stays.
    assert name in kept and len(kept) == 2
    assert [path.name for path in (tmp_path / "second").iterdir()] == [name]
    folders = {path.name for path in studio.directory.iterdir()}
    assert "trying-cut-off" not in folders and "copying-going-on" in folders
    assert found["failed"][0] == "" and "/proc/no/folder cannot be written" in found["failed"][1]
    assert found["noticed after"] == [f"Backup failed. {found['failed'][1]}"]
    assert found["due"] == [True, False]


def test_an_upgrade_that_fails_leaves_the_tables_as_they_were(studio):
    with sqlite3.connect(studio.directory / "studio.sqlite3") as database:
        before = list(database.iterdump())

    said = studio.run("shell", "--no-imports", "-c", UPGRADE_THAT_FAILS).stdout

    assert "failed: no room" in said
    with sqlite3.connect(studio.directory / "studio.sqlite3") as database:
        assert list(database.iterdump()) == before
    assert not (studio.directory / "upgrading").exists()
