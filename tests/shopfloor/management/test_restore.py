"""`manage.py restore FILE`: all comes back, row by row, or nothing is changed."""

from __future__ import annotations

import shutil
import sqlite3

import psycopg
import pytest

from shopfloor.locks import take_lock
from tests.services.live import LiveStudio
from tests.services.postgres import new_database
from tests.services.programs import need_program

pytestmark = pytest.mark.services


@pytest.fixture(scope="module")
def template():
    """The folder of a studio that was opened once; each test works on a copy of it."""
    made = LiveStudio()
    made.run("migrate", "--verbosity", "0")
    made.run("sign_in_link")
    (made.directory / "media").mkdir()
    (made.directory / "media" / "week-41.csv").write_text("order,article\n")
    yield made.directory
    made.clear()


@pytest.fixture
def studio(template):
    made = LiveStudio()
    shutil.copytree(template, made.directory, dirs_exist_ok=True)
    yield made
    made.clear()


def rows(path):
    """Every statement that would make the database anew."""
    with sqlite3.connect(path) as database:
        return sorted(database.iterdump())


def change(studio):
    with sqlite3.connect(studio.directory / "studio.sqlite3") as database:
        database.execute("insert into studio_closedday (\"on\", reason) values ('2030-01-01', 'later')")
    (studio.directory / "media" / "week-41.csv").write_text("spoilt")
    (studio.directory / "media" / "later.csv").write_text("later")


def test_every_row_and_file_comes_back_and_what_was_here_is_set_aside(studio, tmp_path):
    before, secret = rows(studio.directory / "studio.sqlite3"), (studio.directory / "secret").read_text()
    studio.run("backup", str(tmp_path / "studio.tar.gz"))
    change(studio)

    said = studio.run("restore", str(tmp_path / "studio.tar.gz")).stdout

    assert "The studio is as it was on" in said and "Its 0 ledger entries agree." in said
    assert rows(studio.directory / "studio.sqlite3") == before
    assert (studio.directory / "secret").read_text() == secret
    assert {path.name: path.read_text() for path in (studio.directory / "media").iterdir()} == {
        "week-41.csv": "order,article\n"
    }
    (aside,) = (studio.directory / "set-aside").iterdir()
    assert str(aside) in said
    studio.run("restore", str(aside))
    assert (studio.directory / "media" / "later.csv").read_text() == "later"


def test_a_copy_that_is_broken_or_newer_changes_nothing(studio, tmp_path):
    target = tmp_path / "studio.tar.gz"
    with sqlite3.connect(studio.directory / "studio.sqlite3") as database:
        database.execute(
            "insert into django_migrations (app, name, applied) values ('orders', '0099_years_ahead', 'now')"
        )
    studio.run("backup", str(target), check=False)
    whole = target.read_bytes()
    (tmp_path / "half.tar.gz").write_bytes(whole[: len(whole) // 2])
    before = rows(studio.directory / "studio.sqlite3")

    newer = studio.run("restore", str(target), check=False)
    broken = studio.run("restore", str(tmp_path / "half.tar.gz"), check=False)
    with take_lock(studio.directory / "up.lock", "http://localhost:8000"):
        held = studio.run("restore", str(target), check=False)

    assert newer.stderr.strip() == (
        "CommandError: studio.tar.gz was made by a newer version of this program (it knows"
        " orders.0099_years_ahead). Install that version first. Nothing was changed."
    )
    assert "half.tar.gz is not a whole copy" in broken.stderr
    assert "The studio is open at http://localhost:8000. Stop it first with Ctrl-C." in held.stderr
    assert {newer.returncode, broken.returncode, held.returncode} == {1}
    assert rows(studio.directory / "studio.sqlite3") == before


def test_a_copy_whose_ledger_does_not_agree_is_refused(studio, tmp_path):
    """Another tool wrote behind the ledger's back before the copy was made."""
    with sqlite3.connect(studio.directory / "studio.sqlite3") as database:
        # Nothing refers to anything that is there: only the sums are wrong.
        database.execute("insert into inventory_holding (place_id, lot_id, amount) values (1, 1, 5000)")

    answer = studio.run("backup", str(tmp_path / "studio.tar.gz"), check=False)

    assert answer.returncode == 1
    assert "studio.tar.gz does not agree" in answer.stderr


def databases_of_tries(address: str) -> set[str]:
    """Databases in which a copy is tried, by name, of every studio on the server."""
    with psycopg.connect(address) as server:
        rows = server.execute("select datname from pg_database where datname like 'studio_try%'").fetchall()
    return {name for (name,) in rows}


def left_by_a_kill(server: str, studio: str) -> str:
    """The name of a database such as a try of the studio at `studio` leaves when it is killed."""
    with psycopg.connect(server, autocommit=True) as there:
        own = studio.rpartition("/")[2]
        (oid,) = there.execute("select oid from pg_database where datname = %s", [own]).fetchone()
        there.execute(f"create database studio_try_{oid}_cutoff".encode())
    return f"studio_try_{oid}_cutoff"


def test_a_studio_on_postgresql_comes_back_whole_and_its_tries_leave_nothing_behind(postgres_url, tmp_path):
    need_program("pg_restore")
    address, other = new_database(postgres_url), new_database(postgres_url)
    studio = LiveStudio(environment={"DATABASE_URL": address})
    ours, theirs = left_by_a_kill(postgres_url, address), left_by_a_kill(postgres_url, other)
    # The program that filled it may still be at it.
    still_in = psycopg.connect(f"{postgres_url.rpartition('/')[0]}/{ours}")
    try:
        studio.run("migrate", "--verbosity", "0")
        studio.run("sign_in_link")
        said = studio.run("backup", str(tmp_path / "studio.tar.gz")).stdout
        with psycopg.connect(address) as server:
            server.execute("delete from studio_signinlink")
        back = studio.run("restore", str(tmp_path / "studio.tar.gz")).stdout
    finally:
        studio.clear()
        still_in.close()

    assert "It opens, and its 0 ledger entries agree." in said
    assert "Its 0 ledger entries agree." in back
    with psycopg.connect(address) as server:
        assert server.execute("select count(*) from studio_signinlink").fetchone() == (1,)
    ours_begin = ours.removesuffix("cutoff")
    left = databases_of_tries(postgres_url)
    assert theirs in left and not [name for name in left if name.startswith(ours_begin)]
