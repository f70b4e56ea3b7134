"""Pages that nobody needs to have signed in for."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required

from inventory.roles import View


def for_visitors(view: View) -> View:
    """Anybody who can reach the studio: signing in, and what must answer without it."""
    view.role = "visitor"  # type: ignore[attr-defined]
    return login_not_required(view)
