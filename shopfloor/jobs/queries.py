"""How the work waiting to be done stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse

from inventory.ports import LookJob, PlanJob, Stands
from shopfloor.jobs.models import Job

PLAN_WEEK = "plan week"
WHAT_HELPS = "what would help"
PRINT_PAPERS = "print papers"
# How far the clocks of several machines may be apart.
CLOCKS_DIFFER = timedelta(minutes=5)
OPEN = (Job.State.WAITING, Job.State.RUNNING)


def claimable(now: datetime) -> QuerySet[Job]:
    """Jobs that may be taken at `now`: due and waiting, or running under a lease that has run out."""
    waiting = Q(state=Job.State.WAITING, due_at__lte=now)
    deserted = Q(state=Job.State.RUNNING, lease_until__lt=now)
    # Times that nobody could have written by now: the clock was set back since, and work must not wait for
    # them to come again.
    lease = timedelta(seconds=settings.JOB_LEASE_SECONDS)
    unborn = Q(state=Job.State.WAITING, made_at__gt=now + CLOCKS_DIFFER)
    beyond = Q(state=Job.State.RUNNING, lease_until__gt=now + lease + CLOCKS_DIFFER)
    return Job.objects.filter(waiting | deserted | unborn | beyond)


def how_stands(key: str) -> Stands | None:
    """How the newest work with this key stands, None when there was none. One query."""
    newest = Job.objects.filter(key=key).order_by("-id").first()
    if newest is None:
        return None
    return Stands(
        is_running=newest.state in OPEN,
        is_stopped=newest.state == Job.State.STOPPED,
        done=newest.progress_done,
        of=newest.progress_of,
        saying=newest.saying,
        fault=newest.fault if newest.state == Job.State.FAILED else "",
        result=newest.result,
    )


def planning_stands() -> PlanJob:
    """How the newest planning stands, and where its buttons post to. One query."""
    newest = Job.objects.filter(kind=PLAN_WEEK).order_by("-id").first()
    return PlanJob(
        ask_address=reverse("plan-ask"),
        stop_address=reverse("plan-stop"),
        is_running=newest is not None and newest.state in OPEN,
        saying=newest.saying if newest else "",
        fault=newest.fault if newest and newest.state == Job.State.FAILED else "",
    )


def looking_stands() -> LookJob:
    """How the newest look into late lines stands, and where its buttons post to. One query."""
    newest = Job.objects.filter(kind=WHAT_HELPS).order_by("-id").first()
    return LookJob(
        ask_address=reverse("look-ask"),
        stop_address=reverse("look-stop"),
        plan_id=newest.payload["plan_id"] if newest else None,
        is_running=newest is not None and newest.state in OPEN,
        saying=newest.saying if newest else "",
        fault=newest.fault if newest and newest.state == Job.State.FAILED else "",
    )


def last_result(kind: str) -> dict[str, Any]:
    """What the last job of a kind answered that went to its end; empty before the first. One query."""
    ended = Job.objects.filter(kind=kind, state=Job.State.DONE).order_by("-ended_at", "-id")
    return ended.values_list("result", flat=True).first() or {}


def newest_of_kind(kind: str) -> Job | None:
    """The newest job of a kind. One query."""
    return Job.objects.filter(kind=kind).order_by("-id").first()


def failed_since(since: datetime) -> list[Job]:
    """Jobs that were given up since then, newest first. One query."""
    return list(Job.objects.filter(state=Job.State.FAILED, ended_at__gte=since).order_by("-ended_at"))


@dataclass(frozen=True)
class JobStands:
    """How one job stands. `saying` is what it is at, `fault` why it failed, "" otherwise."""

    is_running: bool
    done: int
    of: int
    saying: str
    fault: str


def job_stands(key: str) -> JobStands | None:
    """How the newest job with this key stands; None when there was none. One query."""
    newest = Job.objects.filter(key=key).order_by("-id").first()
    if newest is None:
        return None
    return JobStands(
        newest.state in OPEN,
        newest.progress_done,
        newest.progress_of,
        newest.saying,
        newest.fault if newest.state == Job.State.FAILED else "",
    )
