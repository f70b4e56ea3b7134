"""`manage.py export_everything FILE`: all tables as open files."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopfloor.backups.errors import CopyNotMade
from shopfloor.backups.open_files import export_everything
from shopfloor.studio.port import LiveStudio


class Command(BaseCommand):
    help = "Writes every table as CSV and JSON lines into one zip, with what was sent in. No passwords."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to."""
        parser.add_argument("file", type=Path, help="ending in .zip; never overwritten")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Write it, or say in one sentence why not."""
        try:
            tables, rows = export_everything(file, now=LiveStudio().now())
        except CopyNotMade as fault:
            raise CommandError(fault.message) from fault
        self.stdout.write(f"{rows:,} rows of {tables} tables in {file}, as CSV and as JSON lines.")
