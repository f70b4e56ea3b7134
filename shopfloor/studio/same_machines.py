"""Whether this machine has the secret and the folder that the studio was opened with first."""

from __future__ import annotations

import hashlib
import hmac
from contextlib import suppress
from pathlib import Path
from uuid import UUID, uuid4

from django.conf import settings
from django.db import DatabaseError, connection

from shopfloor.studio.models import FirstOpened

MARK_FILE = "studio-mark"


def note_first_opening() -> None:
    """Note by what other machines tell that they belong to this studio, where nothing is noted yet.

    Changes: one row, and a file in the shared folder. Again: nothing.
    """
    if not FirstOpened.objects.exists():
        note_as_it_is()


def note_as_it_is() -> None:
    """Take this machine's secret and shared folder for the studio's, whatever was noted before.

    Changes: one row, and a file in the shared folder.
    """
    mark = uuid4()
    # The file first: cut off in between, the next opening does both anew.
    _write(mark)
    FirstOpened.objects.update_or_create(pk=1, defaults={"mark": mark, "secret_digest": _digest(mark)})


def mark_folder() -> None:
    """Write into the shared folder what the database says; nothing where it says nothing.

    Changes: a file in the shared folder.
    """
    first = _first()
    if first is not None:
        _write(first.mark)


def is_secret_same() -> bool:
    """Whether this machine's secret is the studio's; true where nothing is noted. One query."""
    first = _first()
    return first is None or hmac.compare_digest(first.secret_digest, _digest(first.mark))


def is_folder_same() -> bool:
    """Whether this machine's shared folder is the studio's; true where nothing is noted. One query."""
    first = _first()
    if first is None:
        return True
    with suppress(OSError, ValueError):
        return _file().read_text(encoding="ascii").strip() == str(first.mark)
    return False


def _first() -> FirstOpened | None:
    """The row; None before the first opening, and in tables of a version that had none."""
    try:
        return FirstOpened.objects.first()
    except DatabaseError:
        connection.close_if_unusable_or_obsolete()
        return None


def _write(mark: UUID) -> None:
    settings.SHARED_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
    _file().write_text(f"{mark}\n", encoding="ascii")


def _digest(mark: UUID) -> str:
    return hmac.new(settings.SECRET_KEY.encode(), mark.bytes, hashlib.sha256).hexdigest()


def _file() -> Path:
    return Path(settings.SHARED_DIR) / MARK_FILE
