"""`manage.py verify_ledger`: reckon the ledger anew, from the database or from an exported file alone."""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.arithmetic.ledger_file import FORMATS, check_ledger_file
from inventory.queries.verify import verify_ledger

SHOWN_MOST = 20


class Command(BaseCommand):
    help = (
        "Checks that every holding is the sum of its entries and never was below zero, that every lot is"
        " accounted for, and that every reversal is exact."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """From where."""
        parser.add_argument(
            "--from",
            dest="file",
            type=Path,
            metavar="FILE",
            help="check a file of export_ledger (.csv or .jsonl) instead of the database",
        )

    def handle(self, *, file: Path | None = None, **options: Any) -> None:
        """Say that all agrees, or name the first fault and end with a code other than zero."""
        if file:
            self._check_file(file)
            return
        found = verify_ledger()
        self._refuse(found.faults)
        self.stdout.write(
            f"The ledger agrees: {found.holdings:,} holdings are the sums of {found.entries:,} entries in"
            f" {found.postings:,} postings, and {found.lots:,} lots are accounted for."
        )

    def _check_file(self, file: Path) -> None:
        form = file.suffix.removeprefix(".")
        if form not in FORMATS:
            raise CommandError("Name a file that ends in .csv or .jsonl.")
        try:
            checked = check_ledger_file(lambda: file.open("rb"), form)
        except OSError as fault:
            raise CommandError(f"{file} cannot be read: {fault.strerror}.") from fault
        self._refuse(checked.faults)
        counts = checked.counts
        self.stdout.write(
            f"{file.name} agrees: {counts['holdings']:,} holdings are the sums of {counts['entries']:,}"
            f" entries in {counts['postings']:,} postings, and {counts['lots']:,} lots are accounted for."
        )

    def _refuse(self, faults: Sequence[object]) -> None:
        for fault in faults[1:SHOWN_MOST]:
            self.stderr.write(f"also: {fault}")
        if faults:
            raise CommandError(f"{len(faults)} wrong. The first: {faults[0]}.")
