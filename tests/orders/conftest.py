"""What the tests of the orders share."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.factories.orders import SmallRange, a_range


@pytest.fixture
def made(db: None) -> SmallRange:
    """Trays in Rust and Slate, filled cups in Slate, boxes to post them."""
    return a_range()


@pytest.fixture(autouse=True)
def _uploads_of_their_own(settings, tmp_path: Path) -> None:
    """Uploaded files of a test are kept in a folder of its own."""
    settings.STUDIO_DIR = tmp_path
