"""What the doorbell starts."""

from __future__ import annotations

from shopfloor.celery import app
from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.work import do_due_jobs
from shopfloor.studio.port import LiveStudio


@app.task(name="shopfloor.jobs.tasks.ring")
def ring() -> None:
    """Do every job that is due."""
    do_due_jobs(HANDLERS, LiveStudio().now)
