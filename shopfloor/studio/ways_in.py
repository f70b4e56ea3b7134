"""Ways into the studio that are opened and shut by views, in the history of who did what."""

from __future__ import annotations

from uuid import uuid4

from django.http import HttpRequest

from shopfloor.studio.operations.people import note_way_in


def noted(request: HttpRequest, said: str) -> None:
    """Put into the history what whoever is signed in just did."""
    now = request.studio.now()  # type: ignore[attr-defined]
    note_way_in(request_key=uuid4(), now=now, by=request.user.pk, said=said)
