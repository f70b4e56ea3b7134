"""`manage.py export_ledger FILE`: the whole ledger in one file, to keep or to check elsewhere."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.arithmetic.ledger_file import FORMATS
from inventory.queries.export import exported_ledger
from shopfloor.studio.port import LiveStudio


class Command(BaseCommand):
    help = "Writes every posting of the ledger into a file that verify_ledger --from can check."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to; the ending says the form."""
        parser.add_argument("file", type=Path, help="ending in .csv or .jsonl; never overwritten")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Write it line by line, or say in one sentence why not."""
        form = file.suffix.removeprefix(".")
        if form not in FORMATS:
            raise CommandError("Name a file that ends in .csv or .jsonl.")
        studio = LiveStudio()
        lines = exported_ledger(form, now=studio.now(), currency=studio.facts.currency)
        written = 0
        try:
            with file.open("x", encoding="utf-8", newline="") as out:
                for line in lines:
                    out.write(line)
                    written += 1
        except FileExistsError:
            raise CommandError(f"{file} is there already. Name another file.") from None
        except OSError as fault:
            raise CommandError(f"{file} cannot be written: {fault.strerror}.") from fault
        self.stdout.write(f"{written:,} lines in {file}. Check them with verify_ledger --from {file}.")
