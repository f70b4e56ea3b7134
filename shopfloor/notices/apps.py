"""Wiring of shopfloor.notices."""

from django.apps import AppConfig


class NoticesConfig(AppConfig):
    name = "shopfloor.notices"
    label = "notices"
    default_auto_field = "django.db.models.BigAutoField"
