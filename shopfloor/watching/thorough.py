"""The looks that take their time: tables, ledger, rights, papers, solver, work that failed."""

from __future__ import annotations

import importlib.util
import stat
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta

from django.conf import settings
from django.db import connection

from inventory import triggers
from inventory.queries.acts import newest_act_at
from inventory.queries.verify import verify_ledger
from shopfloor.backups.databases import SQLITE, kind_of_database
from shopfloor.backups.restoring import upgrade_is_due
from shopfloor.jobs.queries import failed_since
from shopfloor.notices.mail_queries import mail_stands
from shopfloor.notices.sending import answer_of_mail_server
from shopfloor.studio.papers import HOW_TO_GET_PDF, pdf_maker
from shopfloor.watching.findings import Finding, State, fine

# A clock this much behind what was written by it was set back.
CLOCK_BACK = timedelta(minutes=2)
FAILED_DAYS = 7
# Rights of the group and of everybody else; and their right to enter a folder.
OTHERS, OTHERS_ENTER = 0o077, 0o011


def thorough_findings(now: datetime) -> Iterator[Finding]:
    """Every thorough look, one after the other; the ledger's takes seconds where there are years of it."""
    yield look_at_rights()
    yield look_at_tables()
    if kind_of_database() == SQLITE:
        yield look_at_file()
    yield look_at_ledger()
    yield look_at_clock(now)
    yield look_at_failed_work(now)
    yield look_at_mail()
    yield look_at_papers()
    yield look_at_solver()
    yield look_at_network()


def without_database() -> Iterator[Finding]:
    """Those of the thorough looks that can be had while no database answers."""
    yield look_at_rights()
    yield look_at_papers()
    yield look_at_solver()
    yield look_at_network()


def look_at_rights() -> Finding:
    """Whether only the studio's own account reads its secret."""
    if sys.platform == "win32":
        return fine("rights", "Rights are kept by the account's own folder here.")
    loose = [
        path.name
        for path in (
            settings.STUDIO_DIR,
            settings.STUDIO_DIR / "secret",
            settings.STUDIO_DIR / "studio.sqlite3",
        )
        if path.exists() and stat.S_IMODE(path.stat().st_mode) & OTHERS
    ]
    # Inside a folder that nobody else may enter, the rights of a file do not matter.
    if loose and stat.S_IMODE(settings.STUDIO_DIR.stat().st_mode) & OTHERS_ENTER:
        return Finding(
            "rights",
            State.LOOK,
            f"Others on this machine can read {', '.join(loose)}.",
            f"chmod -R go= {settings.STUDIO_DIR}",
        )
    return fine("rights", "Only this account can read what the studio keeps.")


def look_at_tables() -> Finding:
    """Whether the tables are those of this version, with the triggers that keep the ledger."""
    if upgrade_is_due():
        return Finding(
            "tables",
            State.LOOK,
            "The tables are those of an older version.",
            "Start the studio: manage.py up",
        )
    gone = triggers.missing(connection)
    if gone:
        return Finding(
            "tables",
            State.LOOK,
            f"The ledger could be changed behind the app's back: {', '.join(gone)} missing.",
            "manage.py migrate puts them up again.",
        )
    return fine("tables", "The tables are those of this version, and the ledger's triggers are up.")


def look_at_file() -> Finding:
    """Whether SQLite finds its own file sound."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA quick_check(3)")
        found = [row[0] for row in cursor.fetchall()]
    if found != ["ok"]:
        return Finding(
            "file",
            State.DOWN,
            f"The database file is damaged: {found[0]}.",
            "Stop the studio, look at the disk, and go back to the last good copy: manage.py restore FILE.",
        )
    return fine("file", "The database file is sound.")


def look_at_ledger() -> Finding:
    """Whether the ledger agrees."""
    found = verify_ledger()
    if found.faults:
        return Finding(
            "ledger",
            State.DOWN,
            f"The ledger does not agree: {found.faults[0]}.",
            "manage.py verify_ledger names the rest. Go back to the last good copy: manage.py restore FILE.",
        )
    return fine("ledger", f"The ledger agrees: {found.entries:,} entries.")


def look_at_clock(now: datetime) -> Finding:
    """Whether the machine's clock was set back behind what was written by it."""
    newest = newest_act_at()
    if newest is not None and newest - now > CLOCK_BACK:
        return Finding(
            "time",
            State.LOOK,
            f"The clock of this machine is behind: something was noted at {newest:%Y-%m-%d %H:%M} UTC.",
            "Set the clock of the machine, best by a time service.",
        )
    return fine(
        "time", f"It is {now:%Y-%m-%d %H:%M} UTC; the studio's wall clock is that of {settings.TIME_ZONE}."
    )


def look_at_failed_work(now: datetime) -> Finding:
    """Whether work in the background was given up lately."""
    failed = failed_since(now - timedelta(days=FAILED_DAYS))
    if failed:
        return Finding(
            "work",
            State.LOOK,
            f"{len(failed)} pieces of work were given up in {FAILED_DAYS} days. The newest, {failed[0].kind}:"
            f" {failed[0].fault}",
            "Ask for it again where it was asked for. If it fails again, the log says more.",
        )
    return fine("work", "No work was given up lately.")


def look_at_mail() -> Finding:
    """Whether notices can go out by e-mail, and do."""
    stands = mail_stands()
    if not stands["is_set"]:
        if not stands["people"]:
            return fine("mail", "No outgoing mail is set: notices stand in the app only.")
        return Finding(
            "mail",
            State.LOOK,
            "Notices are wanted by e-mail, and no outgoing mail is set.",
            "Set EMAIL_URL and start the studio again; set it here too, so that it is tried.",
        )
    fault = answer_of_mail_server()
    if fault:
        return Finding(
            "mail",
            State.LOOK,
            f"The mail server does not let us in: {fault}",
            "Look at EMAIL_URL: host, port, name, password, and smtp+tls or smtp+ssl.",
        )
    if stands["failing"]:
        return Finding(
            "mail",
            State.LOOK,
            f"E-mail to {stands['failing'].person} does not get through. {stands['failing'].fault}",
            "Look at the address: each person has theirs on Studio, E-mail.",
        )
    return fine("mail", "The mail server answers.")


def look_at_papers() -> Finding:
    """Whether papers can be PDF files."""
    try:
        makes_pdf = pdf_maker() is not None
    except ValueError:
        # The manifest of the static files has no name for the style sheets.
        return Finding(
            "papers",
            State.LOOK,
            "The style sheets of pages and papers are not collected yet.",
            "Start the studio: manage.py up",
        )
    if not makes_pdf:
        return Finding(
            "papers", State.LOOK, "Papers are pages to print from the browser.", f"{HOW_TO_GET_PDF}."
        )
    return fine("papers", "Papers are PDF files.")


def look_at_solver() -> Finding:
    """Whether the planner has its solver."""
    if importlib.util.find_spec("ortools") is None:
        return Finding(
            "solver",
            State.LOOK,
            "The planner works without its solver: plans are good, and less is proven of them.",
            "It is set up by itself where there is a package for this machine; else nothing is to be done.",
        )
    return fine("solver", "The planner has its solver.")


def look_at_network() -> Finding:
    """Whether what is sent over the network is encrypted, or not meant to leave this machine."""
    far = sorted(set(settings.ALLOWED_HOSTS) - {"localhost", "127.0.0.1", "[::1]"})
    if settings.HTTPS:
        return fine("network", "Pages are sent encrypted only.")
    if far:
        return Finding(
            "network",
            State.LOOK,
            f"Pages are sent to {', '.join(far)} without encryption.",
            "All right on a network you trust. Else put a web server with a certificate in front: HTTPS=1.",
        )
    return fine("network", "Pages stay on this machine.")
