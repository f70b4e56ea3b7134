"""Loaded by pytest before the settings: a throw-away studio folder, so that no test touches a real one."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from pathlib import Path

FOLDER = Path(tempfile.mkdtemp(prefix="studio-test-"))
atexit.register(shutil.rmtree, FOLDER, ignore_errors=True)

os.environ["STUDIO_DIR"] = str(FOLDER)
# Plain addresses of static files: the manifest exists only where collectstatic ran, as in live studios.
os.environ["STATICFILES_BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
# The browser's driver keeps an event loop in this thread, and Django would refuse every query beside it.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
# The planner tries a twentieth of what it tries in a studio: tests look at what becomes of a plan.
os.environ["SHOPFLOOR_PLAN_EFFORT"] = "5"
for name in (
    "BROKER_URL",
    "REDIS_URL",
    "HTTPS",
    "DEBUG",
    "ALLOWED_HOSTS",
    "TIME_ZONE",
    "SITE_ADDRESS",
    "EMAIL_URL",
):
    os.environ.pop(name, None)
for folder in ("static", "media"):
    (FOLDER / folder).mkdir()
