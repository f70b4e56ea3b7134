"""`manage.py backup FILE`: everything in one file."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopfloor.backups.errors import CopyNotGood, CopyNotMade
from shopfloor.backups.making import make_copy, tried
from shopfloor.studio.port import LiveStudio


class Command(BaseCommand):
    help = "Keeps database, secret and sent-in files in one file that only its owner can read, and tries it."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to."""
        parser.add_argument("file", type=Path, help="such as studio-backup.tar.gz; never overwritten")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Make the copy and open it again, or say in one sentence why not."""
        file = file.absolute()
        try:
            size = make_copy(file, now=LiveStudio().now())
            with tried(file) as good:
                entries = good.entries
        except (CopyNotMade, CopyNotGood) as fault:
            raise CommandError(fault.message) from fault
        checked = (
            "was read through" if entries is None else f"opens, and its {entries:,} ledger entries agree"
        )
        self.stdout.write(
            f"Kept everything in {file} ({size / 1000:,.0f} kB). It {checked}. Only you can read it."
        )
