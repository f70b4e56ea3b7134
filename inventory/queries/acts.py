"""Acts by the key of their request, and by what was done since an instant."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from inventory.models import Act


def act_id_of(request_key: UUID) -> int | None:
    """The act that was done under this key and still stands, None if there is none. One query."""
    found = Act.objects.filter(request_key=request_key, undone_by__isnull=True)
    return found.values_list("pk", flat=True).first()


def acts_since(at: datetime, names: Iterable[str]) -> set[str]:
    """Which of these acts were recorded after `at`. One query."""
    return set(
        Act.objects.filter(recorded_at__gt=at, name__in=list(names)).values_list("name", flat=True).distinct()
    )
