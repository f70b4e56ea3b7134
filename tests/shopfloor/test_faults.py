from __future__ import annotations

import errno
import sqlite3

import psycopg
import pytest
from django.contrib.sessions.exceptions import SessionInterrupted
from django.contrib.sessions.models import Session
from django.db import DatabaseError, DataError, OperationalError
from django.http import HttpRequest, HttpResponse

from shopfloor.faults import AWAY, FULL, READ_ONLY, SessionNotKept, handler500, trouble_of
from shopfloor.middleware import SessionsMiddleware


def caused(outer: Exception, inner: BaseException) -> Exception:
    outer.__cause__ = inner
    return outer


@pytest.mark.parametrize(
    ("fault", "trouble"),
    [
        (OperationalError("database or disk is full"), FULL),
        (OperationalError("attempt to write a readonly database"), READ_ONLY),
        (OSError(errno.ENOSPC, "No space left on device"), FULL),
        (caused(RuntimeError("the letter"), OSError(errno.EROFS, "Read-only file system")), READ_ONLY),
        (caused(OperationalError("could not extend file"), psycopg.errors.DiskFull()), FULL),
        (caused(OperationalError("connection refused"), psycopg.OperationalError()), AWAY),
        (caused(OperationalError("terminating"), psycopg.errors.AdminShutdown()), AWAY),
        (caused(DataError("too long"), psycopg.errors.StringDataRightTruncation()), None),
        (caused(OperationalError("no such table: act"), sqlite3.OperationalError()), None),
        (ValueError("ours"), None),
    ],
)
def test_disk_and_database_are_told_from_our_own_faults(fault, trouble):
    assert trouble_of(fault) == trouble


def test_the_page_says_what_to_do_without_asking_the_database(rf):
    try:
        raise OperationalError("database or disk is full")
    except OperationalError:
        page, program = handler500(rf.post("/stores/spill/")), handler500(rf.post("/api/orders/"))
        looked = handler500(rf.get("/stores/?q=1&p=2")).content.decode()

    assert (page.status_code, page["Retry-After"]) == (503, "30")
    assert "The disk of the studio is full. Nothing was kept" in page.content.decode()
    assert 'href="/stores/?q=1&amp;p=2">Open it again' in looked and "Nothing was kept" not in looked
    assert program["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize(
    ("fault", "raised"),
    [
        (
            caused(OperationalError("server closed the connection"), psycopg.OperationalError()),
            SessionNotKept,
        ),
        (DatabaseError("Forced update did not affect any rows."), SessionInterrupted),
    ],
)
def test_a_database_that_goes_while_a_session_is_kept_is_no_session_that_was_ended(
    signed_in, rf, monkeypatch, fault, raised
):
    """A phone gives up a tap that is answered by 400, and sends one again that is answered by 503."""

    def save(session: Session, **options: object) -> None:
        raise fault

    def tap(request: HttpRequest) -> HttpResponse:
        request.session["said"] = "Q1 holds 18.75 kg"
        return HttpResponse()

    request = rf.post("/stores/spill/", headers={"Cookie": f"sessionid={signed_in.session.session_key}"})

    monkeypatch.setattr(Session, "save", save)
    with pytest.raises(raised) as caught:
        SessionsMiddleware(tap)(request)

    assert (trouble_of(caught.value) == AWAY) == (raised is SessionNotKept)
