"""Wiring of shopfloor.backups."""

from django.apps import AppConfig


class BackupsConfig(AppConfig):
    name = "shopfloor.backups"
    label = "backups"
    default_auto_field = "django.db.models.BigAutoField"
