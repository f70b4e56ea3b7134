"""The studio's own children with one more kind of job: one that takes long, so that it can be interrupted.

`python -m tests.services.slow_worker worker|beat`, everything else as in `shopfloor.children`.
"""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import django

django.setup()

from shopfloor import children  # noqa: E402
from shopfloor.jobs import handlers  # noqa: E402
from shopfloor.jobs.work import Effects, Work  # noqa: E402
from shopfloor.studio.models import ClosedDay  # noqa: E402

SLOW = "slow"


def slow(work: Work) -> Effects:
    """Write a line when it begins, take as long as asked, then add one closed day as its effect."""
    with Path(work.payload["diary"]).open("a", encoding="utf-8") as diary:
        diary.write("begun\n")
    until = time.monotonic() + work.payload["seconds"]
    while time.monotonic() < until and not work.should_stop():
        work.tell(1, 2)
        time.sleep(0.05)

    def effects() -> dict[str, Any]:
        # No get_or_create: a second run of the effects would break on the unique day, or add another.
        count = ClosedDay.objects.filter(reason__startswith=work.payload["mark"]).count()
        day = f"2030-01-{count + 1:02}"
        ClosedDay.objects.create(on=day, reason=f"{work.payload['mark']} {count + 1}")
        return {"day": day}

    return effects


if __name__ == "__main__":
    handlers.HANDLERS[SLOW] = slow
    children.main()
