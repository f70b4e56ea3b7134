"""Acts by the key of their request."""

from __future__ import annotations

from uuid import UUID

from inventory.models import Act


def act_id_of(request_key: UUID) -> int | None:
    """The act that was done under this key and still stands, None if there is none. One query."""
    found = Act.objects.filter(request_key=request_key, undone_by__isnull=True)
    return found.values_list("pk", flat=True).first()
