"""How long somebody stays signed in, and when they show again who they are.

Kept in the session: when it began, when a password was last shown, and whether it is at the bench tablet.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth import authenticate, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_datetime

from inventory.roles import is_owner
from shopfloor.studio.bench_tablet import TABLET_MINUTES, by_pin, tablet_of
from shopfloor.studio.visits import SIGNED_IN_AT, TABLET

PROVED_AT = "proved_at"
# A browser that nobody uses for a month is signed out by its cookie; one that is used, after this long.
LONGEST = timedelta(days=90)
PROOF_LASTS = timedelta(minutes=30)
SAFE = ("GET", "HEAD", "OPTIONS")
ASIDE = ("csrfmiddlewaretoken", "own_password")
WRONG = "That is not your password. It minds capitals."


def note_proof(request: HttpRequest, *, now: datetime) -> None:
    """Somebody has just shown who they are."""
    request.session[PROVED_AT] = now.isoformat()


def is_proved(request: HttpRequest, *, now: datetime) -> bool:
    """Whether somebody showed lately who they are."""
    proved_at = parse_datetime(request.session.get(PROVED_AT, ""))
    return proved_at is not None and now - proved_at < PROOF_LASTS


class SessionRulesMiddleware:
    """Ends sessions that are over, lowers rights at the bench tablet, asks again for a password."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:  # type: ignore[attr-defined]
            now = request.studio.now()  # type: ignore[attr-defined]
            began = parse_datetime(request.session.get(SIGNED_IN_AT, ""))
            if began is not None and now - began > LONGEST:
                logout(request)
            elif TABLET in request.session:
                self._on_tablet(request)
        return self.get_response(request)

    def _on_tablet(self, request: HttpRequest) -> None:
        """Nobody stays signed in at the bench for long, and a PIN opens no more than a helper's pages."""
        if tablet_of(request) is None:
            logout(request)
            return
        request.session.set_expiry(TABLET_MINUTES * 60)
        if by_pin(request):
            request.user._is_studio_owner = False  # type: ignore[attr-defined]

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], arguments: Any, named: Any
    ) -> HttpResponse | None:
        """Ask for the password where the view wants it and it was not shown lately."""
        user = request.user  # type: ignore[attr-defined]
        if request.method in SAFE or not getattr(view, "wants_proof", False) or not user.is_authenticated:
            return None
        now = request.studio.now()  # type: ignore[attr-defined]
        if is_proved(request, now=now) or (getattr(view, "role", "") == "owner" and not is_owner(user)):
            return None
        password = request.POST.get("own_password", "")
        if password and authenticate(request, username=user.get_username(), password=password) == user:
            note_proof(request, now=now)
            return None
        return _ask(request, WRONG if "own_password" in request.POST else "")


def _ask(request: HttpRequest, fault: str) -> HttpResponse:
    """The page that asks, with everything that was typed, so that one tap more goes on."""
    if not request.user.has_usable_password():  # type: ignore[attr-defined]
        return redirect("choose-password")
    typed = [(name, value) for name, values in request.POST.lists() if name not in ASIDE for value in values]
    context = {"typed": typed, "fault": fault, "person": request.user.get_username()}  # type: ignore[attr-defined]
    return render(request, "registration/prove.html", context, status=422)
