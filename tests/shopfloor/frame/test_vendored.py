"""What others made and we carry is what it was, with its licence beside it."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from django.conf import settings

FOLDER = Path(settings.BASE_DIR) / "shopfloor" / "static" / "shopfloor"
LISTED = re.findall(
    r"^\| (fonts/[^ |]+) \|.*\| ([0-9a-f]{64}) \|$", (FOLDER / "VENDORED.md").read_text(), re.M
)


@pytest.mark.parametrize(("name", "expected"), LISTED)
def test_a_file_of_others_is_unchanged(name: str, expected: str) -> None:
    assert hashlib.sha256((FOLDER / name).read_bytes()).hexdigest() == expected


def test_every_font_is_listed_and_its_licence_is_there() -> None:
    present = {f"fonts/{path.name}" for path in (FOLDER / "fonts").iterdir()}

    assert present == {name for name, _ in LISTED}
    assert "SIL Open Font License" in (FOLDER / "fonts" / "LICENSE-archivo-OFL.txt").read_text()
