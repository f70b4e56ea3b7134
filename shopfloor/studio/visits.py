"""Who is signed in where, and ending it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.http import HttpRequest
from django.utils.dateparse import parse_datetime

SIGNED_IN_AT, DEVICE = "signed_in_at", "device"
# Set on a session of the bench tablet: which tablet it is.
TABLET = "tablet"
# The first that is found in what the browser says of itself; the order matters.
DEVICES = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Mac OS", "Mac"),
    ("CrOS", "Chromebook"),
    ("Linux", "Linux"),
)
BROWSERS = (("Edg/", "Edge"), ("Firefox/", "Firefox"), ("Chrome/", "Chrome"), ("Safari/", "Safari"))


@dataclass(frozen=True)
class Visit:
    """One signed-in browser. `mark` stands for it without letting anybody in."""

    mark: str
    person: str
    device: str
    since: datetime | None
    is_this: bool
    at_tablet: bool = False


def note_visit(request: HttpRequest, *, now: datetime) -> None:
    """Note on a fresh sign-in when and with what it was made. No address is kept."""
    request.session[SIGNED_IN_AT] = now.isoformat()
    request.session[DEVICE] = device_of(request.headers.get("User-Agent", ""))


def device_of(user_agent: str) -> str:
    """A browser and its machine in words, from what the browser says of itself."""
    machine = next((name for token, name in DEVICES if token in user_agent), "")
    browser = next((name for token, name in BROWSERS if token in user_agent), "")
    return " on ".join(word for word in (browser, machine) if word) or "another program"


def visits(*, now: datetime, this_session: str | None, user_id: int | None = None) -> list[Visit]:
    """Everybody who is signed in, or one person where `user_id` is given; newest first. Two queries."""
    open_now = Session.objects.filter(expire_date__gt=now)
    names = dict(User.objects.filter(is_active=True).values_list("pk", "username"))
    found = []
    for session in open_now:
        inside = session.get_decoded()
        person_id = int(inside.get(SESSION_KEY, 0))
        if person_id in names and user_id in (None, person_id):
            found.append(
                Visit(
                    mark=mark_of(session.session_key),
                    person=names[person_id],
                    device=inside.get(DEVICE, "another program"),
                    since=parse_datetime(inside.get(SIGNED_IN_AT, "")),
                    is_this=session.session_key == this_session,
                    at_tablet=TABLET in inside,
                )
            )
    return sorted(found, key=lambda one: (one.since is not None, one.since, one.mark), reverse=True)


def end_visit(mark: str, *, now: datetime, user_id: int | None = None) -> str:
    """Sign a browser out; answers whose it was, "" when it is not signed in (any more).

    Changes: the session is gone; not an act, since what lets somebody in is not kept in the history.
    """
    for session in Session.objects.filter(expire_date__gt=now):
        person_id = int(session.get_decoded().get(SESSION_KEY, 0))
        if mark_of(session.session_key) == mark and user_id in (None, person_id):
            session.delete()
            return User.objects.filter(pk=person_id).values_list("username", flat=True).first() or ""
    return ""


def mark_of(session_key: str) -> str:
    """What stands for a session on a page: it cannot be turned back into its key."""
    return hashlib.sha256(session_key.encode()).hexdigest()[:20]
