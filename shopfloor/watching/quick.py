"""The looks that take a moment: database, secret and folder, doorbell, worker and clock, disk, copies."""

from __future__ import annotations

import shutil
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection

from shopfloor.backups.queries import last_good_copy
from shopfloor.celery import app
from shopfloor.jobs.queries import newest_of_kind
from shopfloor.notices.operations import WATCH
from shopfloor.studio.same_machines import is_folder_same, is_secret_same
from shopfloor.watching.findings import Finding, State, fine

# The watch job is asked for each NOTICE_SECONDS: so many of these without one, and something stands still.
TICKS_MISSED = 4
FREE_LEAST, FREE_LOW = 200_000_000, 1_000_000_000
# A studio that was shut over a weekend has not failed; one that is open and two nights behind has.
COPY_LATE_AFTER = timedelta(hours=50)
ASK_SECONDS = 2


def quick_findings(now: datetime) -> list[Finding]:
    """Every quick look. A fixed, small number of queries; without a database the rest is not looked at."""
    database = look_at_database()
    if database.state == State.OK:
        database = look_for_tables()
    if database.state == State.DOWN:
        return [database, look_at_disk()]
    return [
        database,
        look_at_secret(),
        look_at_folder(),
        look_at_broker(),
        look_at_worker(now),
        look_at_disk(),
        look_at_copies(now),
    ]


def look_at_database() -> Finding:
    """Whether the database answers."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
            cursor.fetchone()
    except DatabaseError as fault:
        return Finding(
            "database",
            State.DOWN,
            f"The database does not answer: {str(fault).strip().splitlines()[0]}",
            "Start the database server, or look whether the disk is there and may be written to.",
        )
    return fine("database", "The database answers.")


def look_for_tables() -> Finding:
    """Whether there is a studio in the database that answers."""
    if not connection.introspection.table_names():
        return Finding(
            "database",
            State.DOWN,
            "The database is empty: no studio was opened in it yet, or it is another one than yours.",
            "Open the studio with manage.py up, or look at STUDIO_DIR and DATABASE_URL.",
        )
    return fine("database", "The database answers.")


def look_at_secret() -> Finding:
    """Whether people signed in on another machine are so on this one."""
    if is_secret_same():
        return fine("secret", "The secret is the one the studio was opened with.")
    return Finding(
        "secret",
        State.DOWN,
        "This machine has another secret than the studio was opened with: people signed in on another machine"
        " are strangers on this one, and links in e-mails of the one do not open on the other.",
        "Give every machine the same SECRET_KEY: that of the first, or what is in the file secret of its"
        " STUDIO_DIR. If you changed it on purpose: manage.py doctor --accept",
    )


def look_at_folder() -> Finding:
    """Whether photos, files being imported and copies are where every machine looks for them."""
    if is_folder_same():
        return fine("folder", "The folder of photos, imports and copies is the studio's.")
    return Finding(
        "folder",
        State.DOWN,
        f"{settings.SHARED_DIR} is not the folder that the studio was opened with: what was sent in on one"
        " machine, photos too, is missing on the other.",
        "Look whether the folder is mounted, and give every machine the same SHARED_DIR. If you moved it on"
        " purpose: manage.py doctor --accept",
    )


def look_at_broker() -> Finding:
    """Whether the doorbell can be rung. Without it work is found by the clock, a little later."""
    try:
        with app.connection_for_write(connect_timeout=ASK_SECONDS) as doorbell:
            doorbell.ensure_connection(max_retries=1, timeout=ASK_SECONDS)
            doorbell.default_channel.queue_declare("celery", passive=False)
    # Each transport has errors of its own.
    except Exception as fault:
        return Finding(
            "broker",
            State.LOOK,
            f"The broker does not answer ({type(fault).__name__}). Work waits until it does.",
            "Start Redis, or look at REDIS_URL and BROKER_URL.",
        )
    return fine("broker", "The broker answers.")


def look_at_worker(now: datetime) -> Finding:
    """Whether clock and worker go on: the look for notices was asked for and done lately."""
    limit = timedelta(seconds=TICKS_MISSED * settings.NOTICE_SECONDS)
    newest = newest_of_kind(WATCH)
    start = "Start the studio with manage.py up; if it is open, stop it first."
    if newest is None:
        return Finding("worker", State.LOOK, "The worker has not done anything yet.", start)
    if now - newest.made_at > limit and newest.ended_at is not None:
        return Finding(
            "worker",
            State.DOWN,
            f"The clock stands still: it last rang {_ago(now - newest.made_at)} ago.",
            start,
        )
    if newest.ended_at is None and now - newest.due_at > limit:
        return Finding(
            "worker",
            State.DOWN,
            f"The worker does nothing: work has waited {_ago(now - newest.due_at)}.",
            start,
        )
    return fine("worker", "Clock and worker go on.")


def look_at_disk() -> Finding:
    """Whether there is room to write."""
    free = shutil.disk_usage(settings.STUDIO_DIR).free
    said = f"{free / 1e9:.1f} GB free where the studio is kept."
    if free >= FREE_LOW:
        return fine("disk", said)
    state = State.DOWN if free < FREE_LEAST else State.LOOK
    return Finding("disk", state, said, "Make room on the disk: what cannot be written cannot be kept.")


def look_at_copies(now: datetime) -> Finding:
    """Whether there is a good copy of the last nights."""
    copy = last_good_copy()
    if copy is None:
        return Finding(
            "backup",
            State.LOOK,
            "There is no copy yet.",
            "Keep one now: the Studio page, or manage.py backup FILE.",
        )
    if not (Path(settings.COPIES_DIR) / copy.name).exists():
        return Finding(
            "backup",
            State.LOOK,
            f"The last good copy, {copy.name}, is not in its folder any more.",
            "Look where it went, and keep one now on the Studio page.",
        )
    if now - copy.made_at > COPY_LATE_AFTER:
        return Finding(
            "backup",
            State.LOOK,
            f"The last good copy is {_ago(now - copy.made_at)} old.",
            "Leave the studio open past three at night, or keep one now on the Studio page.",
        )
    return fine("backup", f"The last good copy is {_ago(now - copy.made_at)} old.")


def _ago(time: timedelta) -> str:
    minutes = int(time.total_seconds() // 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h" if minutes < 48 * 60 else f"{minutes // 1440} days"
