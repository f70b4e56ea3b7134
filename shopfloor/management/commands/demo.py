"""`manage.py demo`: fill an empty studio with the demo studio."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from inventory.queries.materials import any_material
from shopfloor.journeys.demo.loading import load_demo
from shopfloor.studio.port import LiveStudio


class Command(BaseCommand):
    requires_system_checks = ()
    help = (
        "Fills an empty studio with Samphire Lane: what it owns, and a week and a half of its life up to now."
    )

    def handle(self, **options: Any) -> None:
        """Load it, or say in one sentence why not."""
        if any_material():
            raise CommandError(
                "This studio has materials already. Set STUDIO_DIR to another folder to look at the demo."
            )
        file = load_demo(now=LiveStudio().now(), folder=settings.STUDIO_DIR, say=self.stdout.write)
        self.stdout.write(f"New orders to import: {file}")
