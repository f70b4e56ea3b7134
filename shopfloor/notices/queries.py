"""Reading notices."""

from __future__ import annotations

from django.db.models import QuerySet

from shopfloor.notices.models import Notice

# Where a notice stands at the top of the page: beside the work that answers it. The Bench is for hands, so
# what must be ordered stands on the pages where one plans and buys. What is dry or due a coat stands nowhere:
# Bench and Shelf list it themselves.
KINDS_OF_AREA: dict[str, tuple[str, ...]] = {
    "bench": (Notice.Kind.AT_RISK, Notice.Kind.OPEN_MOULD, Notice.Kind.CURED),
    "week": (Notice.Kind.AT_RISK, Notice.Kind.LOW, Notice.Kind.DELIVERY),
    "orders": (Notice.Kind.AT_RISK,),
    "shelf": (Notice.Kind.CURED,),
    "stores": (Notice.Kind.LOW, Notice.Kind.OPENED_LIFE, Notice.Kind.DELIVERY),
    "moulds": (Notice.Kind.MOULD_END,),
    "studio": (Notice.Kind.BACKUP,),
}
CLOSED_SHOWN = 50


def open_notices() -> QuerySet[Notice]:
    """Notices whose cause lasts, newest first."""
    return Notice.objects.filter(closed_at__isnull=True)


def notices_of(area: str) -> list[Notice]:
    """Open notices that belong on top of an area's page. One query, or none where none belong."""
    kinds = KINDS_OF_AREA.get(area, ())
    return list(open_notices().filter(kind__in=kinds)) if kinds else []


def closed_notices() -> QuerySet[Notice]:
    """The last notices that were closed, newest first."""
    return Notice.objects.filter(closed_at__isnull=False).order_by("-closed_at")[:CLOSED_SHOWN]
