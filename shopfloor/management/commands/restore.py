"""`manage.py restore FILE`: back to a copy."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shopfloor.backups.errors import CopyNotGood, NotRestored
from shopfloor.backups.restoring import restore
from shopfloor.locks import HeldElsewhere, take_lock
from shopfloor.studio.port import LiveStudio


class Command(BaseCommand):
    help = "Puts a file of `backup` in the place of the studio, after trying it. Stop the studio first."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """From where."""
        parser.add_argument("file", type=Path, help="made by backup, or found in the folder of copies")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Put it back, or say in one sentence why nothing was changed."""
        studio = LiveStudio()
        try:
            with take_lock(settings.STUDIO_DIR / "up.lock", "being restored"):
                back = restore(file.absolute(), now=studio.now())
        except HeldElsewhere as held:
            raise CommandError(f"The studio is open at {held}. Stop it first with Ctrl-C.") from None
        except (CopyNotGood, NotRestored) as fault:
            raise CommandError(f"{fault.message} Nothing was changed.") from fault
        when = studio.local(back.made_at).strftime("%d %B %Y %H:%M")
        checked = "" if back.entries is None else f" Its {back.entries:,} ledger entries agree."
        self.stdout.write(f"The studio is as it was on {when}.{checked}")
        if back.set_aside:
            self.stdout.write(f"What was here before is in {back.set_aside}.")
