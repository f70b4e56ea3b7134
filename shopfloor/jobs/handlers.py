"""Which function does which kind of job.

A handler gets the Work and does what takes long outside any transaction; it returns the effects, a function
without arguments that makes the changes and answers plain figures for the job's row. Effects run in the
transaction that ends the job.
"""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from inventory.operations.photos import sweep_photos
from orders.operations.large_files import KEEP_FILE, READ_FILE, keep_large, read_large
from shopfloor.backups.operations import keep_copy
from shopfloor.backups.queries import KEEP_COPY
from shopfloor.jobs.queries import PLAN_WEEK, PRINT_PAPERS, WHAT_HELPS, last_result
from shopfloor.jobs.work import Effects, Handler, Work
from shopfloor.notices.mail_wishes import SEND
from shopfloor.notices.operations import WATCH, watch_notices
from shopfloor.notices.sending import send_letters
from shopfloor.studio.port import LiveStudio


def watch(work: Work) -> Effects:
    """Open and close notices, those of orders at risk among them, and erase the names whose time is over."""
    from shopfloor.journeys.forgetting import forget_names
    from shopfloor.journeys.risk import look_at_risk

    looked = look_at_risk(LiveStudio(), now=work.now(), last=last_result(WATCH))

    def effects() -> dict[str, Any]:
        forget_names(LiveStudio(), now=work.now())
        found = watch_notices(LiveStudio(), now=work.now(), at_risk=looked.conditions)
        return {**found, **looked.mark}

    return effects


def plan(work: Work) -> Effects:
    """Plan the week from the present orders."""
    from shopfloor.journeys.planning import plan_week

    return plan_week(
        request_key=UUID(work.payload["request_key"]),
        by=work.payload["by"],
        now=work.now(),
        studio=LiveStudio(),
        on_progress=work.tell,
        should_stop=work.should_stop,
    )


def look(work: Work) -> Effects:
    """Look into what is late in a plan: why, and what would help."""
    from shopfloor.journeys.looking import look_into_plan

    return look_into_plan(
        plan_id=work.payload["plan_id"],
        request_key=UUID(work.payload["request_key"]),
        by=work.payload["by"],
        now=work.now(),
        studio=LiveStudio(),
        on_progress=work.tell,
        should_stop=work.should_stop,
    )


def read_orders(work: Work) -> Effects:
    """Read a large order file."""
    return read_large(
        token=work.payload["token"],
        today=date.fromisoformat(work.payload["today"]),
        tell=work.tell,
        should_stop=work.should_stop,
    )


def keep_orders(work: Work) -> Effects:
    """Keep the orders of a large order file."""
    effects = keep_large(
        token=work.payload["token"],
        shown=work.payload["shown"],
        today=date.fromisoformat(work.payload["today"]),
        request_key=UUID(work.payload["request_key"]),
        by=work.payload["by"],
        now=work.now(),
        tell=work.tell,
        should_stop=work.should_stop,
    )

    def kept() -> dict[str, Any]:
        result = effects()
        LiveStudio().after_act("orders.keep_file")
        return result

    return kept


def copy(work: Work) -> Effects:
    """Keep a copy of everything, without photo files that nothing names, and try it."""
    # A large one takes longer than a lease.
    with work.held():
        sweep_photos(now=work.now())
        kept = keep_copy(why=work.payload["why"], now=work.now())
    return lambda: {"name": kept.name, "fault": kept.fault}


def print_papers(work: Work) -> Effects:
    """Set the papers of a day as one document."""
    from shopfloor.journeys.day_papers import make_papers

    return make_papers(
        what=work.payload["what"],
        day=date.fromisoformat(work.payload["day"]),
        key=UUID(work.payload["key"]),
        now=work.now(),
        studio=LiveStudio(),
        tell=work.tell,
    )


def send(work: Work) -> Effects:
    """Send the letters that are due. Each is settled by itself, so that none is sent twice."""
    counts = send_letters(clock=work.now, facts=LiveStudio().facts, tell=work.tell)
    return lambda: counts


HANDLERS: dict[str, Handler] = {
    PLAN_WEEK: plan,
    WHAT_HELPS: look,
    WATCH: watch,
    SEND: send,
    READ_FILE: read_orders,
    KEEP_FILE: keep_orders,
    KEEP_COPY: copy,
    PRINT_PAPERS: print_papers,
}
