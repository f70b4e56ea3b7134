"""Celery's filesystem transport with whole messages.

The library's own writes a message in place, and a worker that looks in at that moment takes an empty file and
stops on it. Here a message gets its name only when it is complete.
"""

from __future__ import annotations

import os
import time
import uuid
from pathlib import Path
from typing import Any

from kombu.transport import filesystem
from kombu.utils.json import dumps


class Channel(filesystem.Channel):
    """The library's channel, but a message is written aside and then renamed."""

    def _put(self, queue: str, payload: Any, **options: Any) -> None:  # type: ignore[override]
        folder = Path(self.data_folder_out)
        name = f"{time.monotonic_ns() // 1_000_000}_{uuid.uuid4()}.{queue}.msg"
        aside = folder / f"{name}.part"
        aside.write_text(dumps(payload), encoding="utf-8")  # type: ignore[no-untyped-call]
        os.replace(aside, folder / name)


class Transport(filesystem.Transport):
    """Messages as files in the studio's own folder."""

    Channel = Channel
