"""`manage.py up`: the whole studio in one command."""

from __future__ import annotations

import os
import socket
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection

from shopfloor.backups.databases import alone_with_tables
from shopfloor.backups.errors import CopyNotMade
from shopfloor.backups.operations import make_upgrade_copy
from shopfloor.backups.restoring import all_or_nothing, upgrade_is_due
from shopfloor.children import WEB_THREADS
from shopfloor.faults import trouble_of
from shopfloor.jobs.operations import ask
from shopfloor.locks import HeldElsewhere, take_lock
from shopfloor.notices.operations import WATCH
from shopfloor.static_files import collect_if_changed
from shopfloor.studio.operations.signing_in import LINK_MINUTES, first_link
from shopfloor.studio.port import LiveStudio
from shopfloor.studio.same_machines import note_first_opening
from shopfloor.supervisor import Crew, become_parent, is_taken, names_of_this_machine
from shopfloor.watching.findings import State
from shopfloor.watching.quick import look_at_database, look_at_folder, look_at_secret

DATABASE_SECONDS = 30
AT_WORK = "\n  The studio is at work here. Ctrl-C stops it.\n"
LOOPBACK = ("127.0.0.1", "localhost", "::1")


class Command(BaseCommand):
    help = "Sets the studio up and opens it: web server, worker and clock together. Ctrl-C stops everything."
    # The tests run them; here they would cost a third of a warm start.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to listen, and whether to begin with the demo studio."""
        parser.add_argument("--demo", action="store_true", help="begin with the demo studio, Samphire Lane")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--only",
            choices=["web", "work"],
            help="pages alone, or worker and clock alone: see several machines",
        )
        parser.add_argument("--webs", type=int, default=1, help="so many processes that serve pages")
        parser.add_argument("--threads", type=int, default=WEB_THREADS, help="of each of them")
        parser.add_argument("--workers", type=int, default=1, help="so many processes that do the work")
        parser.add_argument(
            "--host", default="127.0.0.1", help="0.0.0.0 lets phones on the workshop's network in"
        )

    def handle(self, *, demo: bool, port: int, host: str, only: str | None, **options: Any) -> None:
        """Set up what is missing, then keep the children running."""
        webs, workers, threads = options["webs"], options["workers"], options["threads"]
        if min(webs, workers, threads) < 1 or (webs > 1 and not hasattr(socket, "SO_REUSEPORT")):
            raise CommandError("Each is 1 or more; several web processes at one port need Linux.")
        crew = Crew(
            webs=0 if only == "work" else webs,
            threads=threads,
            workers=0 if only == "web" else workers,
            clocks=0 if only == "web" else 1,
        )
        try:
            self._open(demo=demo, port=port, host=host, crew=crew)
        except (OSError, DatabaseError) as fault:
            trouble = trouble_of(fault)
            if trouble is None:
                raise
            raise CommandError(f"{trouble[0]}. {trouble[1]} It is kept in {settings.STUDIO_DIR}.") from fault

    def _open(self, *, demo: bool, port: int, host: str, crew: Crew) -> None:
        address = f"http://{'localhost' if host in ('127.0.0.1', '0.0.0.0') else host}:{port}"
        try:
            lock = take_lock(settings.STUDIO_DIR / "up.lock", address)
        except HeldElsewhere as held:
            raise CommandError(
                f"This studio is open already at {held}. Use it there, or stop it first with Ctrl-C."
            ) from None
        if crew.webs and is_taken(host, port):
            raise CommandError(
                f"Port {port} is taken by another program. Choose another one: manage.py up --port {port + 1}"
            )
        self._pass_on(address, host)
        with lock:
            self._wait_for_database()
            with alone_with_tables():
                self._prepare(demo)
                note_first_opening()
            for found in (look_at_secret(), look_at_folder()):
                if found.state != State.OK:
                    self._say(f"{found.said} {found.mend}")
            self._clear_doorbell()
            ask(WATCH, WATCH, {}, now=LiveStudio().now())
            words = self._welcome(address) if crew.webs else AT_WORK
            connection.close()
            become_parent(host, port, crew, lock, words)

    def _wait_for_database(self) -> None:
        """After a power cut machine and database come up together, and the database may be the later one."""
        until = time.monotonic() + DATABASE_SECONDS
        while (found := look_at_database()).state == State.DOWN:
            if time.monotonic() > until:
                raise CommandError(f"{found.said} {found.mend}")
            connection.close()
            time.sleep(0.5)

    def _pass_on(self, address: str, host: str) -> None:
        """Tell the children under which address papers name the studio, and which names it answers to.

        They begin in the project's folder: what was named from the folder of this command is said in full.
        """
        os.environ |= {"STUDIO_DIR": str(settings.STUDIO_DIR), "SHARED_DIR": str(settings.SHARED_DIR)}
        for name in ("BACKUP_DIR", "BACKUP_SECOND_DIR"):
            if os.environ.get(name):
                os.environ[name] = os.path.abspath(os.environ[name])
        os.environ.setdefault("SITE_ADDRESS", address)
        if host not in LOOPBACK:
            os.environ.setdefault(
                "ALLOWED_HOSTS", ",".join([*settings.ALLOWED_HOSTS, *names_of_this_machine()])
            )

    def _prepare(self, demo: bool) -> None:
        if upgrade_is_due():
            self._upgrade()
        else:
            call_command("migrate", interactive=False, verbosity=0)
        if collect_if_changed():
            self._say("Collected the style sheets and drawings.")
        if demo:
            self._load_demo()

    def _upgrade(self) -> None:
        """Keep a copy, then change the tables, all of them or none."""
        self._say("This version changes the tables. Keeping a copy of everything first.")
        try:
            kept = make_upgrade_copy(now=LiveStudio().now())
        except CopyNotMade as fault:
            raise CommandError(f"{fault.message} Nothing was upgraded.") from fault
        try:
            with all_or_nothing():
                call_command("migrate", interactive=False, verbosity=0)
        except Exception as fault:
            raise CommandError(
                f"The upgrade did not work ({type(fault).__name__}: {fault}). The studio is as it was: open"
                f" it with the version before. The copy is {_short(kept)}."
            ) from fault
        self._say(f"Upgraded. The copy from before is {_short(kept)}.")

    def _load_demo(self) -> None:
        try:
            call_command("demo")
        except CommandError as fault:
            self._say(f"Demo not loaded. {fault}")

    def _clear_doorbell(self) -> None:
        """Remove rings from before: the rows say what is to be done, and an old ring says nothing."""
        folder = settings.CELERY_BROKER_TRANSPORT_OPTIONS.get("data_folder_in")
        for message in Path(folder).iterdir() if folder else ():
            message.unlink(missing_ok=True)

    def _welcome(self, address: str) -> str:
        secret = first_link(now=LiveStudio().now())
        way_in = (
            f"  Sign in once by this link, within {LINK_MINUTES} minutes:\n"
            f"  {address}/sign-in/link/{secret}/\n"
            if secret
            else "  Sign in with your password. A new sign-in link: python3 manage.py sign_in_link\n"
        )
        return (
            f"\n  The studio is open at {address}\n"
            f"{way_in}"
            f"  Everything is kept in {_short(settings.STUDIO_DIR)}. Ctrl-C stops it.\n"
        )

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


def _short(path: Path) -> str:
    try:
        return os.path.relpath(path) if path.is_relative_to(Path.cwd()) else str(path)
    except ValueError:
        return str(path)
