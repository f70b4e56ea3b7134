"""README and DEVELOPERS.md say what is so."""

from __future__ import annotations

import re

import pytest

from tests.house.source import PROJECT, short

READ_IN_SETTINGS = re.compile(r"""env(?:\.\w+)?\(\s*["']([A-Z_0-9]+)["']""")
DOCUMENTS = ("README.md", "DEVELOPERS.md")


def environment_variables() -> set[str]:
    """Every variable the settings read, and those the bootstrap reads."""
    settings = (PROJECT / "shopfloor" / "settings.py").read_text(encoding="utf-8")
    return set(READ_IN_SETTINGS.findall(settings)) | {"STUDIO_DIR"}


def test_readme_names_every_environment_variable():
    readme = (PROJECT / "README.md").read_text(encoding="utf-8")

    assert len(environment_variables()) > 10
    assert sorted(name for name in environment_variables() if f"`{name}`" not in readme) == []


def commands() -> list[str]:
    """Our own commands of manage.py."""
    found = {path.stem for path in PROJECT.glob("*/management/commands/[a-z]*.py")}
    return sorted(found | {"test"})


@pytest.mark.parametrize("command", commands())
def test_every_command_is_written_down(command):
    words = "".join((PROJECT / name).read_text(encoding="utf-8") for name in DOCUMENTS)

    assert f"manage.py {command}" in words


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_path_a_document_names_is_there(name):
    """In `backticks`, with a slash or a known ending."""
    text = (PROJECT / name).read_text(encoding="utf-8")
    named = re.findall(r"`((?:inventory|production|orders|shopfloor|tests|\.ci)/[\w./-]*)`", text)
    missing = [path for path in named if not (PROJECT / path.rstrip("/")).exists()]

    assert missing == []


def test_the_top_level_is_as_small_as_agreed():
    allowed = {"README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "shopfloor", "inventory"}
    allowed |= {"production", "orders", "tests", "LICENSE", "LICENCE"}
    found = {path.name for path in PROJECT.iterdir() if not path.name.startswith(".")} - {"__pycache__"}

    assert found - allowed == set()


def test_locks_name_no_address():
    """Where a package comes from is the installer's matter."""
    for lock in (PROJECT / "shopfloor").glob("*.lock"):
        text = lock.read_text(encoding="utf-8")
        assert "http" not in text, short(lock)
        assert "--hash=sha256:" in text


def test_the_test_lock_contains_the_run_lock_version_for_version():
    pinned = re.compile(r"^([\w.\[\]-]+)==(\S+)", re.M)
    run, tests = (
        dict(pinned.findall((PROJECT / "shopfloor" / name).read_text(encoding="utf-8")))
        for name in ("requirements.lock", "requirements-test.lock")
    )

    assert len(run) > 30
    assert {name: version for name, version in run.items() if tests.get(name) != version} == {}
