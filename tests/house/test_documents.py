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


def rows_of_security() -> list[list[str]]:
    """The rows of the table of section 13: requirement, in short, held by."""
    text = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = text.partition("\n## 13 ")[2].partition("\n## ")[0]
    lines = [line for line in section.splitlines() if line.startswith("| ") and line[2].isdigit()]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines]


def test_every_test_that_the_table_of_security_names_is_there():
    named = re.findall(r"`(tests/[\w/.]+)::(\w+)`", "\n".join(row[-1] for row in rows_of_security()))
    missing = [
        f"{path}::{name}"
        for path, name in named
        if not (PROJECT / path).exists()
        or f"\ndef {name}(" not in (PROJECT / path).read_text(encoding="utf-8")
    ]

    assert len(named) > 40
    assert missing == []


def test_every_row_of_the_table_of_security_has_a_test_or_a_reason():
    bare = [row[0] for row in rows_of_security() if len(row) != 3 or len(row[-1]) < 10]

    assert bare == []
