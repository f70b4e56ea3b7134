"""Keeping a photo as part of an act: its files in the studio's folder, its row beside what it shows."""

from __future__ import annotations

import os
import secrets
from datetime import datetime, timedelta

from inventory.arithmetic.photos import CleanPhoto
from inventory.models import Photo
from inventory.operations.acts import Tap
from inventory.queries.photos import file_names, photo_path, photos_folder

# An act that stores a photo is over in seconds; a day leaves room for the slowest and for a clock set back.
KEPT_UNNAMED_FOR = timedelta(days=1)


def store_photo(tap: Tap, photo: CleanPhoto) -> int:
    """Keep a cleaned photo within the act of `tap`; answers the id for a foreign key to inventory.Photo.

    Changes: inventory_photo; two files of a name nobody can guess, readable by the studio's account only. An
    act that is refused afterwards leaves files that no row names: `sweep_photos` removes them.
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


def sweep_photos(*, now: datetime) -> int:
    """Remove the photo files that no row names and that are older than a day; answers how many.

    They were stored within acts that were refused afterwards, or cut off. One query.
    Changes: files in the studio's folder. Again: finds none.
    """
    folder = photos_folder()
    if not folder.is_dir():
        return 0
    named = {name for photo in Photo.objects.values_list("name", flat=True) for name in file_names(photo)}
    before = (now - KEPT_UNNAMED_FOR).timestamp()
    swept = 0
    for path in folder.glob("*.jpg"):
        if path.name not in named and path.stat().st_mtime < before:
            path.unlink(missing_ok=True)
            swept += 1
    return swept
