from __future__ import annotations

import errno
import sqlite3

import psycopg
import pytest
from django.db import DataError, OperationalError

from shopfloor.faults import AWAY, FULL, READ_ONLY, handler500, trouble_of


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

    assert (page.status_code, page["Retry-After"]) == (503, "30")
    assert "The disk of the studio is full. Nothing was kept" in page.content.decode()
    assert program["Content-Type"] == "application/problem+json"
