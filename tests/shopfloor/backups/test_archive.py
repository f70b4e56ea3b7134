"""The one file: whole or refused."""

import shutil
import tarfile
from types import SimpleNamespace

import pytest

from shopfloor.backups.archive import ROOM_LEFT, unpack, write_archive
from shopfloor.backups.errors import CopyNotGood, CopyNotMade


@pytest.fixture
def files(tmp_path):
    (tmp_path / "a").write_bytes(b"order,article\n" * 9000)
    (tmp_path / "b").write_bytes(bytes(range(256)) * 40)
    return {"studio.sqlite3": tmp_path / "a", "media/photo.jpg": tmp_path / "b"}


def written(tmp_path, files):
    target = tmp_path / "copy.tar.gz"
    write_archive(
        target, files, made_at="2026-11-25T03:00:00+00:00", database="sqlite", migrations=("a.0001",)
    )
    return target


def test_what_went_in_comes_out_and_only_its_owner_reads_the_file(tmp_path, files):
    target = written(tmp_path, files)

    contents = unpack(target, tmp_path / "out")

    assert target.stat().st_mode & 0o777 == 0o600
    assert (contents.database, contents.migrations) == ("sqlite", ("a.0001",))
    assert {name: (tmp_path / "out" / name).read_bytes() for name in files} == {
        name: path.read_bytes() for name, path in files.items()
    }


def test_a_file_cut_short_anywhere_is_refused(tmp_path, files):
    whole = written(tmp_path, files).read_bytes()
    for share in (0, 0.01, 0.5, 0.9, 0.97):
        cut = tmp_path / f"cut{share}.tar.gz"
        cut.write_bytes(whole[: int(len(whole) * share)])
        with pytest.raises(CopyNotGood, match="cut short or damaged"):
            unpack(cut, tmp_path / f"out{share}")


def repacked(tmp_path, target, change):
    """The same archive with its unpacked files changed behind its back."""
    folder = tmp_path / "open"
    shutil.unpack_archive(target, folder)
    change(folder)
    again = tmp_path / "again.tar.gz"
    with tarfile.open(again, "w:gz") as tar:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                tar.add(path, arcname=str(path.relative_to(folder)))
    return again


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda folder: (folder / "media/photo.jpg").write_bytes(b"other"),
            "damaged: media/photo.jpg is not",
        ),
        (lambda folder: (folder / "media/photo.jpg").unlink(), "lacks a file of its list: media/photo.jpg"),
        (lambda folder: (folder / "more").write_bytes(b"x"), "has a file that is not on its list: more"),
        (lambda folder: (folder / "contents.json").unlink(), "has no list of what is in it"),
        (lambda folder: (folder / "contents.json").write_text("[1]"), "has no list of what is in it"),
        (lambda folder: (folder / "contents.json").write_text('{"form": "studio-copy 2"}'), "newer version"),
    ],
)
def test_an_archive_that_is_not_what_was_kept_is_refused(tmp_path, files, change, sentence):
    again = repacked(tmp_path, written(tmp_path, files), change)

    with pytest.raises(CopyNotGood, match=sentence):
        unpack(again, tmp_path / "out")


@pytest.mark.parametrize("name", ["../outside", "media/../../outside", "link"])
def test_a_member_that_would_leave_the_folder_is_refused(tmp_path, files, name):
    evil = tmp_path / "evil.tar.gz"
    (tmp_path / "link").symlink_to(tmp_path / "out")
    with tarfile.open(evil, "w:gz") as tar:
        tar.add(tmp_path / "link" if name == "link" else files["media/photo.jpg"], arcname=name)

    with pytest.raises(CopyNotGood, match="holds what no copy of a studio holds"):
        unpack(evil, tmp_path / "out" / "in")
    assert not (tmp_path / "out" / "outside").exists()


def test_of_two_files_of_one_name_none_is_written_over(tmp_path, files):
    twice = tmp_path / "twice.tar.gz"
    with tarfile.open(twice, "w:gz") as tar:
        tar.add(files["media/photo.jpg"], arcname="secret")
        tar.add(files["studio.sqlite3"], arcname="secret")

    with pytest.raises(CopyNotGood, match="not a whole copy"):
        unpack(twice, tmp_path / "out")


def test_a_copy_that_would_fill_the_disk_is_refused_before_it_does(tmp_path, files, monkeypatch):
    (tmp_path / "a").write_bytes(bytes(50_000_000))
    small = written(tmp_path, files)
    monkeypatch.setattr("shutil.disk_usage", lambda folder: SimpleNamespace(free=ROOM_LEFT + 1_000_000))

    with pytest.raises(CopyNotGood, match="unpacks to more than there is room for"):
        unpack(small, tmp_path / "out")
    assert small.stat().st_size < 1_000_000
    assert not (tmp_path / "out" / "studio.sqlite3").exists()


def test_a_file_that_is_there_is_never_overwritten_and_a_missing_folder_is_named(tmp_path, files):
    target = written(tmp_path, files)
    before = target.read_bytes()

    with pytest.raises(CopyNotMade, match="is there already. Name another file"):
        write_archive(target, files, made_at="", database="sqlite", migrations=())
    with pytest.raises(CopyNotMade, match="no folder .*none. Make it first"):
        write_archive(tmp_path / "none" / "x", files, made_at="", database="sqlite", migrations=())

    assert target.read_bytes() == before
