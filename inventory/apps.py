"""Wiring of the inventory app."""

from django.apps import AppConfig


class StoresConfig(AppConfig):
    name = "inventory"
    default_auto_field = "django.db.models.BigAutoField"
