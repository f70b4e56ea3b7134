"""Sizes, docstrings, names and clocks: what a reader may count on in every module."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from tests.house.source import APPS, PROJECT, functions, modules, modules_of_tests, short, tree

MODULE_LINES_MOST = 450
FUNCTION_LINES_MOST = 70
DOCUMENTED_ROOMS = ("arithmetic", "planning", "checking", "operations", "queries", "drawings")
CLOCK = PROJECT / "shopfloor" / "studio" / "port.py"
BANNED_NAMES = {"batch", "stock", "item", "product", "process", "status", "data", "manager", "helper"} | {
    "utils",
    "common",
    "misc",
}


def test_no_module_is_too_long_to_know():
    long = [
        f"{short(path)}: {lines}"
        for path in (*modules(), *modules_of_tests())
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > MODULE_LINES_MOST
    ]

    assert long == []


def test_no_function_is_too_long_to_read():
    long = [
        f"{short(path)}: {function.name} {lines}"
        for path in modules()
        for function in functions(path)
        if (lines := (function.end_lineno or 0) - function.lineno + 1) > FUNCTION_LINES_MOST
    ]

    assert long == []


def test_every_module_says_what_it_is_for():
    silent = [
        short(path)
        for path in modules()
        if path.read_text(encoding="utf-8").strip() and not ast.get_docstring(tree(path))
    ]

    assert silent == []


def in_documented_room(path: Path) -> bool:
    """Whether a faulty reading of this module's functions would cost grams, money or dates."""
    return any(room in path.parts for room in DOCUMENTED_ROOMS)


def test_public_functions_and_classes_of_the_rooms_at_risk_are_documented():
    silent = [
        f"{short(path)}: {node.name}"
        for path in modules()
        if in_documented_room(path)
        for node in tree(path).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]

    assert silent == []


def test_the_clock_is_read_in_one_place():
    """Everything else is told the time, so that a test can tell it another."""
    read = [
        f"{short(path)}:{node.lineno}"
        for path in modules()
        if path != CLOCK
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute)
        and node.attr in ("now", "today", "utcnow")
        and _of_a_clock(node.value)
    ]

    assert read == []


def _of_a_clock(node: ast.expr) -> bool:
    return isinstance(node, ast.Name) and node.id in ("datetime", "date", "timezone")


def test_no_module_or_function_bears_a_name_that_means_two_things_here():
    found = [
        f"{short(path)}: {name}"
        for path in modules()
        for name in [path.stem, *(function.name for function in functions(path))]
        if name in BANNED_NAMES
    ]

    assert found == []


def test_no_error_is_swallowed_and_nothing_is_left_for_later():
    swallowed = re.compile(r"except( Exception)?:\s*\n?\s*pass")
    later = re.compile(r"\b(TODO|FIXME|XXX)\b")
    found = [
        short(path)
        for path in modules()
        if swallowed.search(text := path.read_text(encoding="utf-8")) or later.search(text)
    ]

    assert found == []


def test_no_signal_is_received_and_no_save_is_overridden():
    """State changes where it can be read: in operations. The one exception brings the triggers back."""
    found = []
    for path in modules():
        text = path.read_text(encoding="utf-8")
        if "@receiver" in text or re.search(r"\b(pre|post)_(save|delete|init)\b", text):
            found.append(f"{short(path)}: signal")
        if "models" in path.parts:
            found += [f"{short(path)}: save" for function in functions(path) if function.name == "save"]

    assert found == []


def test_pages_have_no_style_or_script_of_their_own():
    """The content security policy would refuse it."""
    tag = re.compile(r"\{%.*?%\}|\{\{.*?\}\}", re.S)
    inline = re.compile(r"\sstyle\s*=|<style|\son[a-z]+\s*=|<script(?![^>]*\bsrc=)|href\s*=\s*.javascript:")
    found = [
        str(path.relative_to(PROJECT))
        for package in (*APPS, "shopfloor")
        for path in (PROJECT / package).rglob("*.html")
        if inline.search(tag.sub("", path.read_text(encoding="utf-8")))
    ]

    assert found == []


def test_no_page_prints_an_amount_without_its_unit():
    """Thousandths and minor units reach a page only through a filter, or in an attribute for the script."""
    raw = re.compile(r"\{\{\s*[\w.]*(?:_mg|_ul|_minor)\s*\}\}")
    attribute = re.compile(r"""[\w-]+=(?:"[^"]*"|'[^']*')""")
    found = [
        f"{path.relative_to(PROJECT)}: {match[0]}"
        for package in (*APPS, "shopfloor")
        for path in (PROJECT / package).rglob("*.html")
        for match in raw.finditer(attribute.sub("", path.read_text(encoding="utf-8")))
    ]

    assert found == []


def test_every_test_module_mirrors_a_module_of_the_product():
    """tests/inventory/arithmetic/test_mix.py tests inventory/arithmetic/mix.py."""
    astray = []
    for package in (*APPS, "shopfloor"):
        for path in sorted((PROJECT / "tests" / package).rglob("test_*.py")):
            mirrored = PROJECT / path.relative_to(PROJECT / "tests").with_name(
                path.name.removeprefix("test_")
            )
            if path.parent not in OF_ALL_ROOMS and not _is_there(mirrored):
                astray.append(short(path))

    assert astray == []


def _is_there(mirrored: Path) -> bool:
    """A module, a package, a command, or a property of a whole room."""
    return (
        mirrored.exists()
        or mirrored.with_suffix("").is_dir()
        or (mirrored.parent / "commands" / mirrored.name).exists()
        or mirrored.stem in PROPERTIES_OF_A_ROOM
    )


# Tests of what several modules of a room hold together, by name.
PROPERTIES_OF_A_ROOM = {"invariants", "at_once", "query_counts", "theorems", "pages"}
# Templates, sheets and scripts of the frame have no module to mirror, nor has what every page keeps to.
OF_ALL_ROOMS = [PROJECT / "tests" / "shopfloor" / name for name in ("frame", "security")]


def test_every_folder_of_tests_is_a_package():
    """Otherwise tests/inventory would hide inventory."""
    bare = [
        str(folder.relative_to(PROJECT))
        for folder in {path.parent for path in modules_of_tests()}
        if not (folder / "__init__.py").exists()
    ]

    assert bare == []
