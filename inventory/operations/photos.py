"""Keeping a photo as part of an act: its files in the studio's folder, its row beside what it shows."""

from __future__ import annotations

import os
import secrets

from inventory.arithmetic.photos import CleanPhoto
from inventory.models import Photo
from inventory.operations.acts import Tap
from inventory.queries.photos import photo_path


def store_photo(tap: Tap, photo: CleanPhoto) -> int:
    """Keep a cleaned photo within the act of `tap`; answers the id for a foreign key to inventory.Photo.

    Changes: inventory_photo; two files of a name nobody can guess, readable by the studio's account only. An
    act that is refused afterwards leaves files that nothing points to.
    """
    name = secrets.token_urlsafe(32)
    for content, is_small in ((photo.large, False), (photo.small, True)):
        path = photo_path(name, is_small=is_small)
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
    return Photo.objects.create(
        name=name, width=photo.width, height=photo.height, kept_at=tap.happened_at, kept_by_id=tap.by
    ).pk
