"""`manage.py move_studio`: from SQLite to PostgreSQL, every row and every holding."""

from __future__ import annotations

import json
import re
import sqlite3
import zipfile

import psycopg
import pytest

from tests.services.live import LiveStudio
from tests.services.postgres import new_database

pytestmark = pytest.mark.services

HOLDINGS = "select place_id, lot_id, amount from inventory_holding order by id"


def test_a_studio_at_work_lives_on_in_postgresql_and_leaves_as_open_files(postgres_url, tmp_path):
    studio = LiveStudio(environment={"SHOPFLOOR_PLAN_EFFORT": "0"})
    address = new_database(postgres_url)
    try:
        studio.run("migrate", "--verbosity", "0")
        studio.run("demo")
        moved = studio.run("move_studio", address).stdout
        again = studio.run("move_studio", address, check=False)
        studio.run("export_everything", str(tmp_path / "all.zip"))
        with sqlite3.connect(studio.directory / "studio.sqlite3") as here:
            entries = here.execute("select count(*) from inventory_entry").fetchone()
            holdings = here.execute(HOLDINGS).fetchall()
    finally:
        studio.clear()

    assert re.search(r"Moved [\d,]{5,} rows of \d+ tables; every row was compared", moved)
    assert f"the {entries[0]:,} ledger entries agree there" in moved
    assert "tables already. Name an empty one. The studio stays where it is." in again.stderr
    with psycopg.connect(address) as there:
        assert there.execute(HOLDINGS).fetchall() == holdings
        # A new row is numbered after those that came over.
        number = there.execute(
            "insert into studio_closedday (\"on\", reason) values ('2031-01-01', '') returning id"
        ).fetchone()
        newest = there.execute("select max(id) from studio_closedday").fetchone()
        assert number == newest
        with pytest.raises(psycopg.errors.IntegrityConstraintViolation, match="never changed or deleted"):
            there.execute("delete from inventory_entry")
    with zipfile.ZipFile(tmp_path / "all.zip") as everything:
        names = everything.namelist()
        lines = everything.read("inventory.Entry.jsonl").decode().splitlines()
        assert len(lines) == entries[0]
        assert {"lot_id", "amount"} <= set(json.loads(lines[0]))
        assert everything.read("inventory.Entry.csv").decode().count("\r\n") == entries[0] + 1
        assert "password" not in everything.read("auth.User.csv").decode()
    assert not any("session" in name.lower() or "axes" in name for name in names)
