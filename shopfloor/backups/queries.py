"""How the copies stand."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet

from inventory.conditions import Condition
from shopfloor.backups.models import KeptCopy
from shopfloor.jobs.models import Job
from shopfloor.jobs.queries import CLOCKS_DIFFER, OPEN

KEEP_COPY = "keep a copy"
NIGHTLY_HOUR = 3
SHOWN = 10
# A copy that failed is tried again: not so often that a full disk is written to all day.
AGAIN_AFTER = timedelta(hours=1)


def newest_copies() -> QuerySet[KeptCopy]:
    """The last tries, newest first."""
    return KeptCopy.objects.all()[:SHOWN]


def last_good_copy() -> KeptCopy | None:
    """The newest copy that was tried and found good. One query."""
    return KeptCopy.objects.exclude(name="").first()


def copies_stand() -> dict[str, Any]:
    """What the Studio page says of copies. Three queries."""
    return {
        "copies": newest_copies(),
        "last_copy": last_good_copy(),
        "copy_is_running": Job.objects.filter(kind=KEEP_COPY, state__in=OPEN).exists(),
        "copies_dir": settings.COPIES_DIR,
        "copies_second_dir": settings.COPIES_SECOND_DIR,
        "nightly_hour": NIGHTLY_HOUR,
    }


def is_due(now: datetime, night: datetime) -> bool:
    """Whether there is no good copy since `night`, the last time one was to be made, and none was just tried.

    One query.
    """
    # One of a time to come was made before the clock was set back.
    since = KeptCopy.objects.filter(made_at__gte=night, made_at__lte=now + CLOCKS_DIFFER)
    return not since.filter(~Q(name="") | Q(made_at__gt=now - AGAIN_AFTER)).exists()


def copies_failed() -> list[Condition]:
    """A condition while the newest copy failed, or is missing from the second folder. One query."""
    newest = KeptCopy.objects.first()
    if newest is None or not (newest.fault or newest.second_fault):
        return []
    return [
        Condition(
            cause="backup",
            kind="backup",
            text=f"Backup failed. {newest.fault or newest.second_fault}",
            link="/studio/#backup",
        )
    ]
