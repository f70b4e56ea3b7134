"""Wiring of shopfloor.studio."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    name = "shopfloor.studio"
    label = "studio"
    default_auto_field = "django.db.models.BigAutoField"
