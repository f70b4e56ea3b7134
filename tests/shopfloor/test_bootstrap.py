from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from shopfloor import bootstrap


@pytest.fixture
def lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project of its own with a lock file that asks for nothing, so that setting it up needs no network."""
    monkeypatch.setattr(bootstrap, "PROJECT", tmp_path)
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", tmp_path / ".venv")
    file = tmp_path / "requirements.lock"
    file.write_text("# nothing\n")
    monkeypatch.setattr(bootstrap, "LOCK", file)
    return file


def test_the_environment_is_made_once_and_again_when_the_lock_changes(lock, capsys):
    bootstrap._make_once(lock)
    bootstrap._make_once(lock)
    first = capsys.readouterr().out

    assert bootstrap._is_current(lock)
    assert first.count("Setting up .venv from requirements.lock, once:") == 1

    lock.write_text("# nothing at all\n")
    assert not bootstrap._is_current(lock)
    bootstrap._make_once(lock)
    assert bootstrap._is_current(lock)


def test_a_set_up_that_was_cut_off_is_taken_up_again(lock):
    (bootstrap.ENVIRONMENT / "bin").mkdir(parents=True)
    (bootstrap.ENVIRONMENT / "bin" / "python").symlink_to("/nowhere/python")

    bootstrap._make_once(lock)

    answer = subprocess.run([bootstrap.environment_python(), "-m", "pip", "--version"], check=True)
    assert answer.returncode == 0


def test_two_at_once_make_one_environment(tmp_path):
    code = (
        "import sys; from pathlib import Path; sys.path.insert(0, '.')\n"
        "from shopfloor import bootstrap\n"
        f"bootstrap.PROJECT = Path({str(tmp_path)!r}); bootstrap.ENVIRONMENT = bootstrap.PROJECT / '.venv'\n"
        "bootstrap._make_once(bootstrap.PROJECT / 'requirements.lock')\n"
    )
    (tmp_path / "requirements.lock").write_text("# nothing\n")
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", code], cwd=bootstrap.PROJECT, stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]

    said = [run.communicate(timeout=120)[0] for run in runs]

    assert [run.returncode for run in runs] == [0, 0]
    assert sum("making the environment" in one for one in said) == 1


def test_what_to_install_is_said_where_python_cannot_make_environments(lock, monkeypatch):
    monkeypatch.setitem(sys.modules, "ensurepip", None)
    monkeypatch.setattr(sys, "path", [])
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)

    with pytest.raises(SystemExit, match="Install it first: apt-get install python3-venv"):
        bootstrap._make_once(lock)


def test_a_lock_that_cannot_be_installed_leaves_no_mark_and_says_to_run_again(lock):
    lock.write_text("no-such-library-of-ours @ file:///nowhere --hash=sha256:0\n")

    with pytest.raises(SystemExit, match="Setting up stopped .* Run it again."):
        bootstrap._make_once(lock)
    assert not bootstrap._is_current(lock)


def test_the_secret_is_made_once_and_read_by_its_owner_only(tmp_path):
    first = bootstrap.secret_key(tmp_path)

    assert bootstrap.secret_key(tmp_path) == first
    assert len(first) >= 50
    assert (tmp_path / "secret").stat().st_mode & 0o777 == 0o600
    assert [file.name for file in tmp_path.iterdir()] == ["secret"]


def test_the_studio_folder_is_for_its_owner_only(tmp_path, monkeypatch):
    monkeypatch.setenv("STUDIO_DIR", str(tmp_path / "deep" / "studio"))

    assert bootstrap.data_directory().stat().st_mode & 0o777 == 0o700
