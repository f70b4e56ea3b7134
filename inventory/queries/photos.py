"""Where the files of a photo are."""

from __future__ import annotations

import re
from pathlib import Path

from django.conf import settings

NAME = re.compile(r"[A-Za-z0-9_-]{43}")


def photo_path(name: str, *, is_small: bool) -> Path:
    """The file of a photo, large or small, whether or not it is there. No query.

    Raises: ValueError for what is no name of a photo.
    """
    if not NAME.fullmatch(name):
        raise ValueError("no name of a photo")
    large, small = file_names(name)
    return photos_folder() / (small if is_small else large)


def file_names(name: str) -> tuple[str, str]:
    """What the two files of a photo are called: the large one, the small one. No query."""
    return f"{name}.jpg", f"{name}-small.jpg"


def photos_folder() -> Path:
    """The folder of all photo files. No query."""
    return Path(settings.SHARED_DIR) / "media" / "photos"
