"""Opening and closing notices: one per cause while it lasts."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime

from django.db import transaction

from inventory.conditions import Condition
from inventory.ports import Studio
from shopfloor.notices.conditions import conditions
from shopfloor.notices.mail_wishes import note_to_tell
from shopfloor.notices.models import Notice

WATCH = "watch notices"


def watch_notices(
    studio: Studio, *, now: datetime, at_risk: Iterable[Condition] | None = None
) -> dict[str, int]:
    """Look at the studio and settle the notices with what is found.

    `at_risk` are the conditions of orders at risk, which take longer to find and belong into a job; None
    leaves their notices as they are.

    Changes: notices. Again: nothing more, as long as nothing happened in between.
    """
    # Before the look: one that another look opens meanwhile is not known to be gone.
    stood = set(Notice.objects.filter(closed_at__isnull=True).values_list("pk", flat=True))
    found = conditions(studio, now=now)
    if at_risk is None:
        return settle(found, now=now, leave=(Notice.Kind.AT_RISK,), stood=stood)
    return settle([*found, *at_risk], now=now, stood=stood)


def settle(
    found: Iterable[Condition],
    *,
    now: datetime,
    leave: Collection[str] = (),
    stood: Collection[int] | None = None,
) -> dict[str, int]:
    """Open a notice for each new cause, close those whose cause is gone, and renew the words of the others.

    Notices of the kinds in `leave` stay as they are, and so do those that are not among `stood`, the ids of
    those open when the look began, where that is given.

    Changes: notices, and with them what is to be told by e-mail, in one transaction and a fixed number of
    statements. Safe to run twice and by two at once: the database holds one open notice per cause.
    """
    wanted = {condition.cause: condition for condition in found}
    with transaction.atomic():
        open_now = Notice.objects.filter(closed_at__isnull=True).exclude(kind__in=leave)
        standing = {notice.cause: notice for notice in open_now}
        gone = [
            notice.pk
            for cause, notice in standing.items()
            if cause not in wanted and (stood is None or notice.pk in stood)
        ]
        closed = Notice.objects.filter(pk__in=gone, closed_at__isnull=True).update(closed_at=now)
        new = [
            Notice(
                kind=condition.kind,
                cause=cause,
                text=condition.text[:300],
                link=condition.link,
                opened_at=now,
            )
            for cause, condition in wanted.items()
            if cause not in standing
        ]
        Notice.objects.bulk_create(new, ignore_conflicts=True)
        note_to_tell([notice.cause for notice in new], now=now)
        Notice.objects.bulk_update(_renewed(standing, wanted), ["text", "link"])
    return {"opened": len(new), "closed": closed}


def _renewed(standing: dict[str, Notice], wanted: dict[str, Condition]) -> list[Notice]:
    changed = []
    for cause, notice in standing.items():
        if cause in wanted and (notice.text, notice.link) != (wanted[cause].text[:300], wanted[cause].link):
            notice.text, notice.link = wanted[cause].text[:300], wanted[cause].link
            changed.append(notice)
    return changed
