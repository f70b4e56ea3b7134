"""The doorbell: Celery only says that there is work; the work itself is a row (shopfloor.jobs)."""

from __future__ import annotations

import os

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")

TRANSPORT_ALIASES["filesystem"] = "shopfloor.jobs.doorbell:Transport"

app = Celery("shopfloor")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["shopfloor.jobs", "shopfloor.notices", "shopfloor.backups"])
