"""When the disk or the database fails under a tap: a plain sentence instead of a page about a fault.

Taps that the phone sends by itself stay on the phone, because the answer is a 503. What goes wrong within the
tap takes all of it back; after it, in keeping the session, or while the database was keeping it, nobody here
can say, and the same tap again counts once.
"""

from __future__ import annotations

import errno
import sys

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, HttpResponseServerError, JsonResponse
from django.shortcuts import render
from django.template import loader

FULL = ("The disk of the studio is full", "Make room on it, then tap again.")
READ_ONLY = (
    "The disk of the studio may not be written to",
    "Restart the machine; if it stays so, the disk is failing: save a copy of it first.",
)
FAILING = ("The disk of the studio does not read or write", "See that it is plugged in. It may be failing.")
AWAY = ("The database does not answer", "It may be starting again. Wait a moment, then tap again.")
BUSY = ("Too much is going on at this moment", "Wait a moment, then tap again.")
# Sources: SQLite, Result and Error Codes (sqlite.org/rescode.html); PostgreSQL, Appendix A, Error Codes,
# classes 53, 25, 58, 40 and 55.
SAID_BY_SQLITE = {
    "disk is full": FULL,
    "readonly database": READ_ONLY,
    "unable to open database file": READ_ONLY,
    "disk I/O error": FAILING,
    "database is locked": BUSY,
}
NOTHING_KEPT = "Nothing was kept"
NOT_SURE = "Whether it was kept is not sure; tapped again, it counts once"
CODES = {"53100": FULL, "25006": READ_ONLY, "58030": FAILING, "40P01": BUSY, "55P03": BUSY}
NUMBERS = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EFBIG: FULL,
    errno.EROFS: READ_ONLY,
    errno.EIO: FAILING,
}
SECONDS = 30


class SessionNotKept(Exception):
    """Disk or database failed while the session was kept, after whatever the tap did."""


def trouble_of(fault: BaseException | None) -> tuple[str, str] | None:
    """What is wrong in a sentence, and what mends it; None where it is neither disk nor database."""
    seen = 0
    while fault is not None and seen < 8:
        if isinstance(fault, OSError) and fault.errno in NUMBERS:
            return NUMBERS[fault.errno]
        if isinstance(fault, DatabaseError):
            return _of_database(fault)
        fault, seen = fault.__cause__ or fault.__context__, seen + 1
    return None


def _of_database(fault: DatabaseError) -> tuple[str, str] | None:
    for words, trouble in SAID_BY_SQLITE.items():
        if words in str(fault):
            return trouble
    if not hasattr(fault.__cause__, "sqlstate"):
        return None
    code = fault.__cause__.sqlstate  # type: ignore[union-attr]
    # Without a code the server said nothing at all; class 08 is a broken connection, 57P a server that ends.
    if code is None or code.startswith(("08", "57P")):
        return AWAY
    return CODES.get(code)


def handler500(request: HttpRequest) -> HttpResponse:
    """The answer to a fault: what to do where it is the disk or the database, else the page about a fault."""
    fault = sys.exc_info()[1]
    trouble = trouble_of(fault)
    if trouble is None:
        return HttpResponseServerError(loader.get_template("500.html").render())
    said, mend = trouble
    kept = NOT_SURE if trouble == AWAY or isinstance(fault, SessionNotKept) else NOTHING_KEPT
    answer: HttpResponse
    if request.path.startswith("/api/"):
        detail = f"{said}. {kept}."
        answer = JsonResponse({"title": said, "status": 503, "detail": detail}, status=503)
        answer["Content-Type"] = "application/problem+json"
    else:
        again = request.get_full_path() if request.method in ("GET", "HEAD") else ""
        shown = {"said": said, "mend": mend, "kept": kept, "again": again}
        answer = render(None, "503.html", shown, status=503)  # type: ignore[arg-type]
    answer["Retry-After"] = str(SECONDS)
    return answer
