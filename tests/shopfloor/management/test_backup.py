"""`manage.py backup FILE`, from both databases, and whether a studio can live on from the file."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import tarfile
from pathlib import Path

import psycopg
import pytest

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
    (made.directory / "media" / "photos").mkdir(parents=True)
    (made.directory / "media" / "photos" / "mould.jpg").write_bytes(b"a photo")
    yield made.directory
    made.clear()


@pytest.fixture
def studio(template):
    made = LiveStudio()
    shutil.copytree(template, made.directory, dirs_exist_ok=True)
    yield made
    made.clear()


def test_one_file_holds_database_secret_and_sent_in_files_and_only_its_owner_reads_it(studio, tmp_path):
    target = tmp_path / "studio.tar.gz"
    said = studio.run("backup", str(target)).stdout

    assert said.startswith(f"Kept everything in {target} (")
    assert target.stat().st_mode & 0o777 == 0o600
    with tarfile.open(target) as tar:
        assert set(tar.getnames()) == {"studio.sqlite3", "secret", "media/photos/mould.jpg", "contents.json"}
    shutil.unpack_archive(target, tmp_path / "back")
    with sqlite3.connect(tmp_path / "back" / "studio.sqlite3") as copy:
        assert copy.execute("pragma integrity_check").fetchone() == ("ok",)
        assert copy.execute("select username from auth_user").fetchall() == [("owner",)]


def test_the_copy_is_whole_while_somebody_is_writing(studio, tmp_path):
    writer = sqlite3.connect(studio.directory / "studio.sqlite3", isolation_level=None, timeout=20)
    writer.execute("begin immediate")
    writer.execute("insert into studio_closedday (\"on\", reason) values ('2030-01-01', 'not yet kept')")

    studio.run("backup", str(tmp_path / "studio.tar.gz"))
    writer.execute("rollback")
    writer.close()

    shutil.unpack_archive(tmp_path / "studio.tar.gz", tmp_path)
    with sqlite3.connect(tmp_path / "studio.sqlite3") as copy:
        assert copy.execute("select count(*) from studio_closedday").fetchone() == (0,)


def test_a_file_that_is_there_is_never_overwritten(studio, tmp_path):
    target = tmp_path / "studio.tar.gz"
    target.write_text("last week's")

    answer = studio.run("backup", str(target), check=False)

    assert answer.returncode == 1
    assert answer.stderr.strip() == f"CommandError: {target} is there already. Name another file."
    assert target.read_text() == "last week's"


def test_a_folder_that_is_not_there_is_named(studio, tmp_path):
    answer = studio.run("backup", str(tmp_path / "none" / "studio.tar.gz"), check=False)

    assert answer.stderr.strip() == f"CommandError: There is no folder {tmp_path / 'none'}. Make it first."


def test_a_studio_without_a_database_says_so(tmp_path):
    empty = LiveStudio(fresh=True)
    try:
        answer = empty.run("backup", str(tmp_path / "studio.tar.gz"), check=False)
    finally:
        empty.clear()

    assert answer.returncode == 1
    assert "There is no database at" in answer.stderr
    assert not list(tmp_path.iterdir())


def test_a_studio_on_postgresql_is_kept_by_its_own_dump_and_comes_back_from_it(postgres_url, tmp_path):
    need_program("pg_dump")
    studio = LiveStudio(environment={"DATABASE_URL": new_database(postgres_url)})
    try:
        studio.run("migrate", "--verbosity", "0")
        studio.run("sign_in_link")
        studio.run("backup", str(tmp_path / "studio.tar.gz"))
    finally:
        studio.clear()

    with tarfile.open(tmp_path / "studio.tar.gz") as tar:
        assert set(tar.getnames()) == {"studio.pgdump", "secret", "contents.json"}
    shutil.unpack_archive(tmp_path / "studio.tar.gz", tmp_path)
    back = new_database(postgres_url)
    subprocess.run(["pg_restore", "-d", back, tmp_path / "studio.pgdump"], check=True)
    with psycopg.connect(back) as server:
        assert server.execute("select username from auth_user").fetchall() == [("owner",)]


def test_a_half_written_backup_leaves_no_file_of_that_name(studio, tmp_path):
    """The folder fills up in the middle: stood in for by a limit on the size of a file."""
    target = tmp_path / "studio.tar.gz"
    command = f"ulimit -f 8; exec {os.sys.executable} manage.py backup {target}"

    answer = subprocess.run(
        ["bash", "-c", command], cwd=Path(__file__).parents[3], env=studio.environment, capture_output=True
    )

    assert answer.returncode != 0
    assert not target.exists()
