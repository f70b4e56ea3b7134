"""The bench tablet, and the PINs by which people change on it.

None of these is an act with a request key: the answer of an act is kept, and what lets people in must not be.
A PIN is short, so it opens nothing away from a browser that the owner marked, and few tries are let through.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.db.models import F

from shopfloor.studio.errors import PinRefused
from shopfloor.studio.models import BenchPin, BenchTablet

SECRET_BYTES = 32
PIN_FIGURES = re.compile(r"[0-9]{4,8}")
TRIES, WAIT_MINUTES = 5, 5
RUNS = "01234567890", "09876543210"


def mark_tablet(*, device: str, now: datetime) -> str:
    """The secret that the browser called `device` shows from now on as a bench tablet.

    Changes: one row with the digest of the secret.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    BenchTablet.objects.create(secret_digest=_digest(secret), device=device, made_at=now)
    return secret


def end_tablet(tablet_id: int) -> bool:
    """That browser is a bench tablet no more, and whoever is signed in on it is out; whether it was one."""
    return bool(BenchTablet.objects.filter(pk=tablet_id).delete()[0])


def tablet_with(secret: str) -> int | None:
    """The bench tablet that shows this secret, None where none does. One query."""
    return BenchTablet.objects.filter(secret_digest=_digest(secret)).values_list("pk", flat=True).first()


def keep_pin(user_id: int, pin: str) -> None:
    """Keep somebody's PIN for the bench tablet; the one before stops working.

    Changes: one row, with a hash of it.
    Raises: PinRefused.
    """
    if not PIN_FIGURES.fullmatch(pin):
        raise PinRefused("A PIN has 4 to 8 figures and nothing else.", field="pin")
    if len(set(pin)) == 1 or any(pin in run for run in RUNS):
        raise PinRefused("Everybody tries that one first. Take figures that are not in a row.", field="pin")
    BenchPin.objects.update_or_create(
        user_id=user_id, defaults={"figures": make_password(pin), "wrong_tries": 0, "tried_at": None}
    )


def forget_pin(user_id: int) -> None:
    """Nobody is let in at the bench tablet under this name any more. Again: nothing more."""
    BenchPin.objects.filter(pk=user_id).delete()


def person_by_pin(user_id: int, pin: str, *, now: datetime) -> User:
    """The person whose PIN this is.

    A try is counted before it is looked at, so that many at once get no more looks than one after another.
    Raises: PinRefused: wrong, or tried too often.
    """
    kept = BenchPin.objects.select_related("user").filter(pk=user_id, user__is_active=True).first()
    if kept is None:
        raise PinRefused("There is no PIN under that name. Sign in with a password, or set one on Studio.")
    row = BenchPin.objects.filter(pk=user_id)
    row.filter(tried_at__lt=now - timedelta(minutes=WAIT_MINUTES)).update(wrong_tries=0)
    if not row.filter(wrong_tries__lt=TRIES).update(wrong_tries=F("wrong_tries") + 1, tried_at=now):
        raise PinRefused(
            f"{TRIES} wrong PINs for {kept.user.username}. Wait {WAIT_MINUTES} minutes, or sign in with a"
            " password.",
            minutes=WAIT_MINUTES,
        )
    if not check_password(pin, kept.figures):
        raise PinRefused(f"That is not {kept.user.username}'s PIN.")
    row.update(wrong_tries=0)
    return kept.user


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
