"""The walls between apps and rooms, and the shape of the code."""

from __future__ import annotations

import subprocess
import sys

import pytest
from django.apps import apps
from django.db.models import ForeignKey

from tests.house.source import APPS, PROJECT

ORDER = {"inventory": 0, "production": 1, "orders": 2}
FRAMEWORK_APPS = {"auth", "contenttypes"}


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=PROJECT, capture_output=True, text=True, timeout=300
    )


def test_imports_keep_to_the_walls():
    """All contracts of [tool.importlinter] in pyproject.toml."""
    code = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    answer = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True)

    assert answer.returncode == 0, answer.stdout[-4000:]
    assert " 0 broken" in answer.stdout


def test_the_code_is_clean_and_laid_out_as_agreed():
    check = run("ruff", "check", ".")
    layout = run("ruff", "format", "--check", ".")

    assert check.returncode == 0, check.stdout[-4000:]
    assert layout.returncode == 0, layout.stdout[-4000:]


def test_types_are_right_in_the_rooms_that_declare_them():
    """The rooms listed in [tool.mypy], strictly."""
    answer = run("mypy")

    assert answer.returncode == 0, answer.stdout[-4000:]


def foreign_keys() -> list[ForeignKey]:
    """Every foreign key of our own tables."""
    return [
        field
        for model in apps.get_models()
        if model._meta.app_label in ORDER or model.__module__.startswith("shopfloor.")
        for field in model._meta.get_fields()
        if isinstance(field, ForeignKey)
    ]


def crossing() -> list[ForeignKey]:
    """The foreign keys that lead from one app to another."""
    return [key for key in foreign_keys() if key.model._meta.app_label != key.related_model._meta.app_label]


def test_foreign_keys_across_apps_lead_downward_only():
    upward = [
        str(key)
        for key in crossing()
        if key.related_model._meta.app_label not in FRAMEWORK_APPS
        and ORDER.get(key.related_model._meta.app_label, 9) >= ORDER.get(key.model._meta.app_label, 9)
    ]

    assert len(crossing()) > 10
    assert upward == []


def test_foreign_keys_across_apps_leave_no_way_back():
    """Without related_name="+" a lower app could read upward through the accessor."""
    assert [str(key) for key in crossing() if key.remote_field.related_name != "+"] == []


def test_migrations_depend_downward_only():
    from django.db.migrations.loader import MigrationLoader

    loader = MigrationLoader(None)
    upward = [
        f"{app}.{name} needs {needed_app}"
        for (app, name), migration in loader.disk_migrations.items()
        if app in ORDER
        for needed_app, _ in migration.dependencies
        if ORDER.get(needed_app, -1) > ORDER[app]
    ]

    assert upward == []


@pytest.mark.parametrize("app", APPS)
def test_templates_of_an_app_name_no_address_or_fragment_of_an_app_above(app):
    above = [other for other in APPS if ORDER[other] > ORDER[app]]
    found = [
        f"{path.relative_to(PROJECT)}: {other}"
        for path in (PROJECT / app).rglob("*.html")
        for other in above
        if any(
            mark in path.read_text(encoding="utf-8") for mark in (f"'{other}:", f'"{other}:', f'"{other}/')
        )
    ]

    assert found == []


@pytest.mark.parametrize("app", APPS)
def test_code_of_an_app_names_no_address_of_an_app_above(app):
    above = [other for other in APPS if ORDER[other] > ORDER[app]]
    found = [
        f"{path.relative_to(PROJECT)}: {other}"
        for path in (PROJECT / app).rglob("*.py")
        for other in above
        if f'"{other}:' in path.read_text(encoding="utf-8")
    ]

    assert found == []
