"""Reading our own source: which modules there are, and what is in them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent.parent
APPS = ("inventory", "production", "orders")
PACKAGES = (*APPS, "shopfloor")
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def modules() -> tuple[Path, ...]:
    """Every module of the product, without migrations."""
    found = [PROJECT / "manage.py"]
    for package in PACKAGES:
        found += sorted((PROJECT / package).rglob("*.py"))
    return tuple(path for path in found if "migrations" not in path.parts)


@cache
def modules_of_tests() -> tuple[Path, ...]:
    """Every module below tests/."""
    return tuple(sorted((PROJECT / "tests").rglob("*.py")))


@cache
def tree(path: Path) -> ast.Module:
    """A module, parsed."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def functions(path: Path) -> Iterator[Function]:
    """Every function and method of a module."""
    for node in ast.walk(tree(path)):
        if isinstance(node, Function):
            yield node


def short(path: Path) -> str:
    """A path as one says it in the project."""
    return str(path.relative_to(PROJECT))
