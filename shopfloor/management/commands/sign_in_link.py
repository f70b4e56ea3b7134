"""`manage.py sign_in_link`: a new one-time link for the owner."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from shopfloor.studio.operations.signing_in import LINK_MINUTES, make_link, owner_of_studio
from shopfloor.studio.port import LiveStudio


class Command(BaseCommand):
    help = "Prints a link that signs the owner in once. Links printed before stop working."
    requires_system_checks = ()

    def handle(self, **options: Any) -> None:
        """Make the link and print it."""
        secret = make_link(owner_of_studio().pk, now=LiveStudio().now())
        self.stdout.write(f"Open this within {LINK_MINUTES} minutes; it works once:")
        self.stdout.write(f"{settings.SITE_ADDRESS}/sign-in/link/{secret}/")
