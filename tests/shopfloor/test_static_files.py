from __future__ import annotations

from pathlib import Path

import pytest

from shopfloor.static_files import collect_if_changed


@pytest.fixture
def own(tmp_path: Path, settings) -> Path:
    """A folder of static files of our own, and an empty place to collect into."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "one.css").write_text("p{}")
    settings.STATICFILES_DIRS = [tmp_path / "own"]
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STATIC_ROOT = tmp_path / "collected"
    return tmp_path / "own"


def test_static_files_are_collected_once_and_again_when_one_changed(own, settings):
    assert collect_if_changed() is True
    assert collect_if_changed() is False

    (own / "one.css").write_text("p{margin:0}")

    assert collect_if_changed() is True
    assert (Path(settings.STATIC_ROOT) / "one.css").read_text() == "p{margin:0}"


def test_a_new_file_is_collected(own, settings):
    collect_if_changed()

    (own / "two.css").write_text("b{}")

    assert collect_if_changed() is True
    assert (Path(settings.STATIC_ROOT) / "two.css").exists()


def test_a_file_that_the_browser_has_is_answered_with_nothing_packed_or_not(own, settings, client):
    """A body on a 304 is thrown away by the web server, with a warning for each."""
    collect_if_changed()
    file = {"path": "/static/one.css", "headers": {"accept-encoding": "gzip"}}
    mark = client.get(**file)["ETag"]

    again = client.get(file["path"], headers={**file["headers"], "if-none-match": mark})

    assert (again.status_code, b"".join(again)) == (304, b"")
