"""`manage.py verify_ledger`: recompute every holding from the entries."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.queries.verify import verify_ledger


class Command(BaseCommand):
    help = "Check that every holding is the sum of its entries and every lot is accounted for."

    def handle(self, *args: Any, **options: Any) -> None:
        """Say that all agrees, or name the first fault and end with a code other than zero."""
        faults = verify_ledger()
        if faults:
            raise CommandError(f"{len(faults)} wrong. The first: {faults[0]}.")
        self.stdout.write("The ledger agrees: every holding is the sum of its entries.")
