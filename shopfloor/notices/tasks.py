"""What the clock starts."""

from __future__ import annotations

from shopfloor.celery import app
from shopfloor.jobs.operations import ask, forget_ended
from shopfloor.notices.mail_wishes import SEND, letters_wait
from shopfloor.notices.operations import WATCH
from shopfloor.studio.port import LiveStudio


@app.task(name="shopfloor.notices.tasks.watch")
def watch() -> None:
    """Ask for a look at the studio, and for sending what waits to be told."""
    now = LiveStudio().now()
    ask(WATCH, WATCH, {}, now=now)
    if letters_wait():
        ask(SEND, SEND, {}, now=now)
    forget_ended(now=now)
