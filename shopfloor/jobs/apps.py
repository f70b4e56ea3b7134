"""Wiring of shopfloor.jobs."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "shopfloor.jobs"
    label = "jobs"
    default_auto_field = "django.db.models.BigAutoField"
