"""Wiring of shopfloor.jobs."""

from pathlib import Path
from typing import Any

from django.apps import AppConfig
from django.conf import settings


class JobsConfig(AppConfig):
    name = "shopfloor.jobs"
    label = "jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make the folders of the doorbell: the transport does not make its own."""
        options: dict[str, Any] = settings.CELERY_BROKER_TRANSPORT_OPTIONS
        for name in ("data_folder_in", "data_folder_out", "control_folder"):
            if name in options:
                Path(options[name]).mkdir(parents=True, exist_ok=True)
