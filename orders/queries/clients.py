"""The programs that were let in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from orders.models import ApiClient


@dataclass(frozen=True)
class ClientRow:
    """One program: what it may do, when it was let in, last used and ended."""

    id: int
    name: str
    scopes: tuple[str, ...]
    made_at: datetime
    used_at: datetime | None
    ended_at: datetime | None


def api_clients() -> list[ClientRow]:
    """Every program that was ever let in, open ones first. One query."""
    rows = [
        ClientRow(row.pk, row.name, tuple(row.scopes), row.made_at, row.used_at, row.ended_at)
        for row in ApiClient.objects.order_by("name", "id")
    ]
    return sorted(rows, key=lambda row: row.ended_at is not None)
