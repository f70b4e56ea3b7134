"""Order files too long to read or keep while somebody waits: in the background, with progress and a stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from datetime import date, datetime
from typing import Any
from uuid import UUID

from orders.errors import StalePreview
from orders.operations.importing import keep_file, preview_of
from orders.operations.uploads import Upload, keep_seen, load_upload
from orders.queries.import_page import import_page, rows_to_mend

READ_FILE = "read order file"
KEEP_FILE = "keep order file"
Effects = Callable[[], dict[str, Any]]
Tell = Callable[[int, int, str], None]


class _Stopped(Exception):
    """Somebody asked for an end."""


def read_large(*, token: str, today: date, tell: Tell, should_stop: Callable[[], bool]) -> Effects:
    """Read and sort an uploaded file; the effects keep what its page shows, nothing in the studio's tables.

    Raises: UploadGone; FileNotRead.
    """
    upload = load_upload(token)
    try:
        text, names, seen = preview_of(upload, today=today, tell=_telling(upload, tell, should_stop))
    except _Stopped:
        return dict
    page = import_page(upload.name, text, names, seen, left_out=upload.left_out, today=today)
    found = {"version": upload.version, "page": asdict(page), "rows_to_mend": rows_to_mend(seen)}

    def effects() -> dict[str, Any]:
        keep_seen(token, found)
        return {}

    return effects


def keep_large(
    *,
    token: str,
    shown: str,
    today: date,
    request_key: UUID,
    by: int | None,
    now: datetime,
    tell: Tell,
    should_stop: Callable[[], bool],
) -> Effects:
    """Read an uploaded file once more; the effects keep its new and whole orders, all of them or none.

    Stopped before, nothing is kept.
    Raises: UploadGone; StalePreview when something changed since the page was shown.
    """
    upload = load_upload(token)
    try:
        text, _, seen = preview_of(upload, today=today, tell=_telling(upload, tell, should_stop))
    except _Stopped:
        return dict
    if seen.sorted.digest != shown:
        raise StalePreview("Something changed since this page was shown. Look again, then keep.")
    tell(upload.rows, upload.rows, "Keeping the orders")
    if should_stop():
        return dict

    def effects() -> dict[str, Any]:
        done = keep_file(
            token=token, shown=shown, read=lambda: (text, seen), request_key=request_key, by=by, now=now
        )
        return {"said": done.said, "act_id": done.act_id}

    return effects


def _telling(upload: Upload, tell: Tell, should_stop: Callable[[], bool]) -> Callable[[int], None]:
    def told(rows: int) -> None:
        tell(rows, upload.rows, "Reading the rows")
        if should_stop():
            raise _Stopped

    return told
