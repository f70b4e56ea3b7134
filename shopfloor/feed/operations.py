"""The secret address of the calendar. Only its digest is kept, as with sign-in links."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime

from shopfloor.studio.models import CalendarAddress

SECRET_BYTES = 24


def new_address(*, now: datetime) -> str:
    """The secret of a new address; the one before stops working.

    Changes: one row with the digest of the secret.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    CalendarAddress.objects.update_or_create(
        pk=1, defaults={"secret_digest": _digest(secret), "made_at": now}
    )
    return secret


def end_address() -> None:
    """Nobody reads the calendar any more.

    Changes: the row is gone. Again: nothing more.
    """
    CalendarAddress.objects.all().delete()


def is_the_address(secret: str) -> bool:
    """Whether this is the secret of the address that is good now. One query."""
    return CalendarAddress.objects.filter(pk=1, secret_digest=_digest(secret)).exists()


def made_at() -> datetime | None:
    """When the address that is good now was made, None while there is none. One query."""
    return CalendarAddress.objects.values_list("made_at", flat=True).first()


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
