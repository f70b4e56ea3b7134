from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from shopfloor import bootstrap


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """A project whose environment two runs made at once, and what each said."""
    project = tmp_path_factory.mktemp("project")
    # It asks for nothing, so that setting it up needs no network.
    (project / "requirements.lock").write_text("# nothing\n")
    code = (
        "import sys; from pathlib import Path; sys.path.insert(0, '.')\n"
        "from shopfloor import bootstrap\n"
        f"bootstrap.PROJECT = Path({str(project)!r}); bootstrap.ENVIRONMENT = bootstrap.PROJECT / '.venv'\n"
        "bootstrap._make_once(bootstrap.PROJECT / 'requirements.lock')\n"
    )
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", code], cwd=bootstrap.PROJECT, stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    said = [run.communicate(timeout=120)[0] for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    return project, said


@pytest.fixture
def lock(made: tuple[Path, list[str]], monkeypatch: pytest.MonkeyPatch) -> Path:
    """The lock of that project, which is the one at work."""
    project, _ = made
    monkeypatch.setattr(bootstrap, "PROJECT", project)
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", project / ".venv")
    file = project / "requirements.lock"
    monkeypatch.setattr(bootstrap, "LOCK", file)
    monkeypatch.setattr(bootstrap, "PLANNER_LOCK", file)
    return file


def test_two_at_once_make_one_environment(made):
    assert sum("making the environment" in one for one in made[1]) == 1


def test_the_environment_is_made_again_when_the_lock_changes_and_only_then(lock, capsys):
    bootstrap._make_once(lock)
    assert bootstrap._is_current(lock)
    assert "Setting up" not in capsys.readouterr().out

    lock.write_text("# nothing at all\n")
    assert not bootstrap._is_current(lock)
    bootstrap._make_once(lock)
    assert bootstrap._is_current(lock)
    assert capsys.readouterr().out.count("Setting up .venv from requirements.lock, once:") == 1


def test_a_set_up_that_was_cut_off_is_taken_up_again(lock):
    for mark in bootstrap.ENVIRONMENT.glob("*.sha256"):
        mark.unlink()
    bootstrap.environment_python().unlink()
    bootstrap.environment_python().symlink_to("/nowhere/python")

    bootstrap._make_once(lock)

    answer = subprocess.run([bootstrap.environment_python(), "-m", "pip", "--version"], check=True)
    assert answer.returncode == 0


def test_what_to_install_is_said_where_python_cannot_make_environments(lock, monkeypatch):
    lock.write_text("# something else\n")
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
