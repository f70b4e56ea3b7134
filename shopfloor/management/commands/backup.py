"""`manage.py backup FILE`: everything in one file."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopfloor.backup import BackupFailed, make_backup


class Command(BaseCommand):
    help = "Keeps database, secret and sent-in files in one file that only its owner can read."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to."""
        parser.add_argument("file", type=Path, help="such as studio-backup.tar.gz; never overwritten")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Make the copy, or say in one sentence why not."""
        try:
            size = make_backup(file.absolute())
        except (BackupFailed, FileExistsError) as fault:
            raise CommandError(str(fault)) from fault
        self.stdout.write(f"Kept everything in {file} ({size / 1000:,.0f} kB). Only you can read it.")
