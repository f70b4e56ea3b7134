"""Who may open a page. Every view declares one of the two; a house test demands it."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

OWNER_GROUP = "owner"
View = Callable[..., HttpResponse]


def is_owner(user: Any) -> bool:
    """Whether the signed-in user runs the studio. One query per request (kept on the user)."""
    if not hasattr(user, "_is_studio_owner"):
        user._is_studio_owner = user.is_superuser or user.groups.filter(name=OWNER_GROUP).exists()
    return bool(user._is_studio_owner)


def prices_in(request: HttpRequest) -> str:
    """The currency that prices are shown in to this person: "" for a helper, who sees none."""
    return request.studio.facts.currency if is_owner(request.user) else ""  # type: ignore[attr-defined]


def for_everyone(view: View) -> View:
    """Any signed-in person: owner or helper."""
    view.role = "everyone"  # type: ignore[attr-defined]
    return view


def owner_only(view: View) -> View:
    """The owner only; a helper gets one plain sentence."""

    @functools.wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not is_owner(request.user):
            raise PermissionDenied("Only the owner can do this. Ask whoever runs the studio.")
        return view(request, *args, **kwargs)

    guarded.role = "owner"  # type: ignore[attr-defined]
    return guarded


def after_proof(view: View) -> View:
    """What lets people or programs in: asked for again, by password, of somebody who signed in a while ago.

    Only says so; the studio's own rules of sessions see to it before the view.
    """
    view.wants_proof = True  # type: ignore[attr-defined]
    return view
