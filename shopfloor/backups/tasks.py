"""What the clock starts."""

from __future__ import annotations

from datetime import timedelta

from shopfloor.backups.queries import KEEP_COPY, NIGHTLY_HOUR, is_due
from shopfloor.celery import app
from shopfloor.jobs.operations import ask
from shopfloor.studio.port import LiveStudio


@app.task(name="shopfloor.backups.tasks.keep")
def keep() -> None:
    """Ask for the copy of the last night that has come, when there is none yet: once, however late."""
    studio = LiveStudio()
    now = studio.now()
    night = studio.local(now).replace(hour=NIGHTLY_HOUR, minute=0, second=0, microsecond=0)
    if night > now:
        night -= timedelta(days=1)
    if is_due(now, night):
        ask(KEEP_COPY, f"{KEEP_COPY} {night.date()}", {"why": "night"}, now=now)
