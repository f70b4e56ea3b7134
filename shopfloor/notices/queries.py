"""Reading notices."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

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
    "studio": (Notice.Kind.BACKUP, Notice.Kind.MAIL),
}
# Several of a kind stand as one line that opens. Backups have one notice at most.
MANY: dict[str, str] = {
    Notice.Kind.AT_RISK: "orders at risk",
    Notice.Kind.OPEN_MOULD: "mixes with moulds to open",
    Notice.Kind.CURED: "cures complete",
    Notice.Kind.LOW: "materials running low",
    Notice.Kind.DELIVERY: "deliveries late",
    Notice.Kind.OPENED_LIFE: "tubs past their opened life",
    Notice.Kind.MOULD_END: "moulds near their end",
    Notice.Kind.MAIL: "e-mails not sent",
}
ALL = "all"
CLOSED_SHOWN = 50


def open_notices() -> QuerySet[Notice]:
    """Notices whose cause lasts, newest first."""
    return Notice.objects.filter(closed_at__isnull=True)


@dataclass(frozen=True)
class Gathered:
    """Notices of one kind, newest first, and what one line says of several: "4 moulds near their end"."""

    kind: str
    notices: tuple[Notice, ...]

    @property
    def words(self) -> str:
        """Empty for one notice: it says itself what it is."""
        return f"{len(self.notices)} {MANY[self.kind]}" if len(self.notices) > 1 and self.kind in MANY else ""


@dataclass(frozen=True)
class Noted:
    """What a page shows of the notices: those `here`, newest first, and the count of all.

    `area` is the page's, `ALL` on the page of all notices. `mark` changes with anything of this.
    """

    area: str
    here: tuple[Notice, ...]
    count: int

    @property
    def gathered(self) -> list[Gathered]:
        """The notices by kind, the kind of the newest first."""
        kinds = dict.fromkeys(notice.kind for notice in self.here)
        return [
            Gathered(kind, tuple(notice for notice in self.here if notice.kind == kind)) for kind in kinds
        ]

    @property
    def mark(self) -> str:
        """As an ETag has it, quotes and all."""
        shown = [(notice.pk, notice.text, notice.link) for notice in self.here]
        return f'"{hashlib.sha256(repr((self.count, shown)).encode()).hexdigest()[:20]}"'

    @property
    def headers(self) -> str:
        """What the page sends along when it looks again."""
        return json.dumps({"If-None-Match": self.mark})

    @property
    def newest(self) -> int:
        """The newest of them, 0 for none."""
        return max((notice.pk for notice in self.here), default=0)

    @property
    def all_words(self) -> str:
        """How many there are: "1 notice"."""
        return f"{self.count or 'no'} notice{'' if self.count == 1 else 's'}"


def noted_on(area: str) -> Noted:
    """The notices as a page of this area shows them. One query."""
    found = tuple(open_notices())
    kinds = KINDS_OF_AREA.get(area, ())
    here = found if area == ALL else tuple(notice for notice in found if notice.kind in kinds)
    return Noted(area, here, len(found))


def closed_notices() -> QuerySet[Notice]:
    """The last notices that were closed, newest first."""
    return Notice.objects.filter(closed_at__isnull=False).order_by("-closed_at")[:CLOSED_SHOWN]
