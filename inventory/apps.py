"""Wiring of the inventory app."""

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.db.models.signals import post_migrate


class StoresConfig(AppConfig):
    name = "inventory"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Keep the ledger append-only, by triggers after each migrate and a check; refuse in plain words."""
        from inventory import refusals, triggers

        post_migrate.connect(triggers.install_after_migrate, sender=self, dispatch_uid="ledger triggers")
        register(triggers.check_triggers, Tags.database)
        refusals.say_plainly()
