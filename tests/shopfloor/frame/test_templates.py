"""No page carries what the content security policy refuses."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(settings.BASE_DIR)
TEMPLATES = sorted(
    path
    for app in ("shopfloor", "inventory", "production", "orders")
    for path in (ROOT / app).rglob("*.html")
)
COMMENT = re.compile(r"{% comment %}.*?{% endcomment %}", re.DOTALL)
REFUSED = {
    "a style attribute": re.compile(r"\sstyle\s*="),
    "a style element": re.compile(r"<style"),
    "a script inside the page": re.compile(r"<script(?![^>]*\ssrc=)"),
    "a handler in an attribute": re.compile(r"\son[a-z]+\s*=\s*[\"']"),
    "a javascript address": re.compile(r"javascript:", re.I),
    "something fetched from elsewhere": re.compile(r"(?:src|href)=[\"'](?:https?:)?//"),
    "an expression htmx would have to evaluate": re.compile(r"hx-(?:on|vals=[\"']js:)"),
}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_template_has_nothing_the_policy_refuses(path: Path) -> None:
    text = COMMENT.sub("", path.read_text(encoding="utf-8"))

    assert [what for what, pattern in REFUSED.items() if pattern.search(text)] == []


@pytest.mark.parametrize(
    "planted",
    [
        '<p style="color:red">',
        "<style>",
        "<script>1</script>",
        '<a onclick="x()">',
        '<img src="//cdn.example/x">',
    ],
)
def test_the_search_finds_what_is_planted(planted: str) -> None:
    assert [what for what, pattern in REFUSED.items() if pattern.search(planted)]


def test_a_script_of_the_studio_evaluates_no_text() -> None:
    for path in (ROOT / "shopfloor" / "static" / "shopfloor").glob("*.js"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"\beval\(|new Function|innerHTML|insertAdjacentHTML|document\.write", text), (
            path
        )
