"""What a browser at the bench shows of itself, and who may be chosen on it."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from shopfloor.studio.models import BenchPin, BenchTablet
from shopfloor.studio.operations.bench_tablet import tablet_with
from shopfloor.studio.visits import TABLET

# Nobody stays signed in at the bench who has not tapped anything for so long.
TABLET_MINUTES = 20
BY_PIN = "by_pin"
COOKIE_AGE = 60 * 60 * 24 * 365


@dataclass(frozen=True)
class AtTheBench:
    """Somebody who can be tapped on the tablet."""

    user_id: int
    name: str
    has_pin: bool


def tablet_of(request: HttpRequest) -> int | None:
    """The bench tablet this browser is, None for any other browser. One query where it says it is one."""
    secret = request.COOKIES.get(settings.TABLET_COOKIE_NAME, "")
    return tablet_with(secret) if secret else None


def by_pin(request: HttpRequest) -> bool:
    """Whether somebody came in by a PIN, and not by a password."""
    return bool(request.session.get(BY_PIN))


def mark_session(request: HttpRequest, tablet_id: int, *, came_by_pin: bool) -> None:
    """Note on a fresh sign-in that it is at a bench tablet."""
    request.session[TABLET], request.session[BY_PIN] = tablet_id, came_by_pin
    request.session.set_expiry(TABLET_MINUTES * 60)


def leave_mark(response: HttpResponse, secret: str) -> None:
    """Give the browser what it shows of itself from now on."""
    response.set_cookie(
        settings.TABLET_COOKIE_NAME,
        secret,
        max_age=COOKIE_AGE,
        secure=settings.HTTPS,
        httponly=True,
        samesite="Lax",
    )


def at_the_bench() -> list[AtTheBench]:
    """Everybody who may sign in, by name. Two queries."""
    with_pin = set(BenchPin.objects.values_list("pk", flat=True))
    people = User.objects.filter(is_active=True).order_by("username")
    return [AtTheBench(one.pk, one.username, one.pk in with_pin) for one in people]


def has_pin(user_id: int) -> bool:
    """Whether somebody has set a PIN. One query."""
    return BenchPin.objects.filter(pk=user_id).exists()


def tablets() -> QuerySet[BenchTablet]:
    """The browsers that are bench tablets, oldest first."""
    return BenchTablet.objects.all()
