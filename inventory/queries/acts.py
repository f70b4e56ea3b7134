"""What was done: the act behind a request key, and which acts came since an instant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery

from inventory.models import Act
from inventory.queries.use import midnight


def act_id_of(request_key: UUID) -> int | None:
    """The act that was done under this key and still stands, None if there is none. One query."""
    stands = Act.objects.filter(request_key=request_key, undone_by__isnull=True)
    return stands.values_list("id", flat=True).first()


def act_name(act_id: int) -> str:
    """The name of the act with this id, "" when there is none. One query."""
    return Act.objects.filter(pk=act_id).values_list("name", flat=True).first() or ""


def newest_act_id() -> int:
    """The act that was recorded last, 0 before the first. One query."""
    return Act.objects.order_by("-id").values_list("id", flat=True).first() or 0


def acts_since(at: datetime, names: Iterable[str]) -> set[str]:
    """Which of these acts were recorded after `at`. One query."""
    done = Act.objects.filter(recorded_at__gt=at, name__in=list(names))
    return set(done.values_list("name", flat=True).distinct())


def answers_since(at: datetime, name: str) -> list[dict[str, Any]]:
    """What acts of this name answered that were recorded after `at` and still stand. One query."""
    done = Act.objects.filter(recorded_at__gt=at, name=name, undone_by__isnull=True)
    return list(done.values_list("answer", flat=True))


@dataclass(frozen=True)
class ActDone:
    """One act as the history tells it; `by` who did it, "" where nobody was signed in."""

    act_id: int
    recorded_at: datetime
    by: str
    said: str
    is_undone: bool


def acts_standing(names: Iterable[str], *, since: datetime, most: int) -> list[ActDone]:
    """The latest acts of these names recorded since then that were not undone, the last first. One query."""
    rows = Act.objects.filter(name__in=list(names), recorded_at__gte=since, undone_by__isnull=True)
    fields = ("id", "recorded_at", "by__username", "said")
    return [
        ActDone(act_id, recorded_at, by or "", said, is_undone=False)
        for act_id, recorded_at, by, said in rows.order_by("-id").values_list(*fields)[:most]
    ]


def acts_done(name: str, most: int) -> list[ActDone]:
    """The latest acts of this name, undone ones too, the last first. One query."""
    rows = Act.objects.filter(name=name).order_by("-recorded_at", "-id")
    fields = ("id", "recorded_at", "by__username", "said", "undone_by")
    return [
        ActDone(act_id, recorded_at, by or "", said, undone_by is not None)
        for act_id, recorded_at, by, said, undone_by in rows.values_list(*fields)[:most]
    ]


def newest_act_at() -> datetime | None:
    """When the newest act was noted, by the clock of the machine that noted it. One query."""
    return Act.objects.order_by("-recorded_at").values_list("recorded_at", flat=True).first()


def history_rows(
    *,
    find: str | None = None,
    by: int | None = None,
    since: date | None = None,
    until: date | None = None,
) -> QuerySet[Act]:
    """What was done, newest first, with who did it and whether it was undone (`undone_act`).

    Narrowed by a word in what was said, by person, and by the days it was recorded on, both counted.
    """
    # A subquery, not a join: counting how many there are leaves it out.
    undone_by = Act.objects.filter(undoes=OuterRef("pk")).values("id")[:1]
    rows = (
        Act.objects.select_related("by")
        .annotate(undone_act=Subquery(undone_by))
        .order_by("-recorded_at", "-id")
    )
    if find:
        rows = rows.filter(said__icontains=find)
    if by:
        rows = rows.filter(by_id=by)
    if since:
        rows = rows.filter(recorded_at__gte=midnight(since))
    if until:
        rows = rows.filter(recorded_at__lt=midnight(until + timedelta(days=1)))
    return rows
