"""An uploaded order file between its steps: kept as a file of the studio, swept after a day.

It holds names and addresses, so it is readable by the studio's own account only, and is addressed by a random
token that the session of whoever uploaded it must know.
"""

from __future__ import annotations

import json
import os
import re
import secrets
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings

from orders.errors import UploadGone

KEPT_SECONDS = 24 * 3600
LARGE_ROWS = 1000
_TOKEN = re.compile(r"[A-Za-z0-9_-]{43}")


@dataclass
class Upload:
    """A file being imported, and what was said about it so far."""

    token: str
    name: str
    digest: str
    text: str
    encoding: str
    columns: dict[str, list[str]] = field(default_factory=dict)
    articles: dict[str, int] = field(default_factory=dict)
    colours: dict[str, int] = field(default_factory=dict)
    mends: dict[int, dict[str, str]] = field(default_factory=dict)
    left_out: list[int] = field(default_factory=list)
    day_first: bool | None = None
    rows: int = 0
    version: int = 0

    @property
    def is_large(self) -> bool:
        """Whether it is read and kept in the background instead of while somebody waits."""
        return self.rows > LARGE_ROWS


def keep_upload(*, name: str, digest: str, text: str, encoding: str, now: datetime) -> Upload:
    """Keep an uploaded file for its next steps, and sweep those older than a day."""
    _sweep(now)
    upload = Upload(secrets.token_urlsafe(32), name, digest, text, encoding)
    save_upload(upload)
    return upload


def load_upload(token: str) -> Upload:
    """The file with this token.

    Raises: UploadGone when it was swept or there never was one.
    """
    try:
        said = json.loads(_path(token).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise UploadGone("This file is not here any more. Choose it again.", token=token[:6]) from None
    said["mends"] = {int(row): fields for row, fields in said["mends"].items()}
    return Upload(**said)


def save_upload(upload: Upload) -> None:
    """Keep what was said about a file."""
    upload.version += 1
    _write(_path(upload.token), asdict(upload))


def _write(path: Path, content: dict[str, Any]) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    # Written beside and moved over, so that a page never reads half a file.
    beside = path.with_suffix(f".{secrets.token_hex(4)}")
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as out:
        json.dump(content, out)
    beside.replace(path)


def keep_seen(token: str, seen: dict[str, Any]) -> None:
    """Keep what the reading of a large file found, beside it."""
    _write(_path(token).with_suffix(".seen"), seen)


def load_seen(token: str) -> dict[str, Any] | None:
    """What the last reading of a large file found, None before the first."""
    try:
        return dict(json.loads(_path(token).with_suffix(".seen").read_text(encoding="utf-8")))
    except FileNotFoundError:
        return None


def forget_uploads() -> None:
    """Forget every uploaded file, whatever its age."""
    folder = Path(settings.SHARED_DIR) / "uploads"
    for path in folder.glob("*") if folder.is_dir() else ():
        path.unlink(missing_ok=True)


def _path(token: str) -> Path:
    if not _TOKEN.fullmatch(token):
        raise UploadGone("This file is not here any more. Choose it again.", token=token[:6])
    return Path(settings.SHARED_DIR) / "uploads" / f"{token}.json"


def _sweep(now: datetime) -> None:
    folder = Path(settings.SHARED_DIR) / "uploads"
    for path in folder.glob("*") if folder.is_dir() else ():
        if now.timestamp() - path.stat().st_mtime > KEPT_SECONDS:
            path.unlink(missing_ok=True)
