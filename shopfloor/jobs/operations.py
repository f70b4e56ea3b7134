"""Asking for work, taking it, and ending it. A row is the truth; the broker only rings.

A job is taken by a conditional update that writes a lease: whoever holds the lease's token may end the job,
and nobody else. When a worker dies the lease runs out and the job is taken again. Effects and the end of
the job are one transaction, so that a job that runs twice changes nothing twice.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F

from shopfloor.jobs.models import Job
from shopfloor.jobs.queries import OPEN, claimable

ATTEMPTS_MOST = 4
PAUSE_AFTER_FAULT = timedelta(seconds=20)
KEPT_AFTER_END = timedelta(days=7)


class OutrunByEvents(Exception):
    """What the work was reckoned from has changed meanwhile: it is to be done anew, at once."""


class LeaseLost(Exception):
    """Somebody else has the job by now: the lease ran out before the work was ended."""


def ask(
    kind: str, key: str, payload: dict[str, Any], *, now: datetime, due_at: datetime | None = None
) -> int:
    """Ask for a job of `kind`, to be done once; answers its id. Rings after the commit.

    Call it inside the transaction of the change that needs the work: row and change come together or not at
    all. While a job with the same key is waiting or running, that one is the answer.
    """
    due_at = due_at or now
    while True:
        found = Job.objects.filter(key=key, state__in=OPEN).values_list("id", flat=True).first()
        if found is None:
            try:
                with transaction.atomic():
                    found = Job.objects.create(
                        kind=kind, key=key, payload=payload, made_at=now, due_at=due_at
                    ).pk
            except IntegrityError:
                # Somebody asked for the same at the same moment: theirs is the answer, unless it has ended.
                continue
        transaction.on_commit(ring, robust=True)
        return found


def ask_to_stop(key: str, *, now: datetime) -> None:
    """Ask the open job with this key to stop: at once when it waits, at its next look when it runs."""
    Job.objects.filter(key=key, state=Job.State.WAITING).update(state=Job.State.STOPPED, ended_at=now)
    Job.objects.filter(key=key, state=Job.State.RUNNING).update(stop_asked=True)


def ask_all_to_stop(kind: str, *, now: datetime) -> None:
    """Ask every open job of a kind to stop, as `ask_to_stop` does one."""
    Job.objects.filter(kind=kind, state=Job.State.WAITING).update(state=Job.State.STOPPED, ended_at=now)
    Job.objects.filter(kind=kind, state=Job.State.RUNNING).update(stop_asked=True)


def ring() -> None:
    """Tell the workers that there is work. A lost ring is harmless: the clock rings again."""
    from shopfloor.jobs.tasks import ring as task

    task.apply_async(retry=False)


def claim(*, now: datetime) -> Job | None:
    """Take the next due job under a fresh lease, or None when there is none left.

    Changes: state, lease and count of attempts of one job. A job that was cut off too often ends as failed.
    """
    while (job := claimable(now).order_by("due_at", "id").first()) is not None:
        mine = claimable(now).filter(pk=job.pk)
        if job.attempts >= ATTEMPTS_MOST:
            mine.update(
                state=Job.State.FAILED,
                ended_at=now,
                fault=f"Cut off {job.attempts} times. It was left undone.",
            )
            continue
        token = uuid4()
        taken = mine.update(
            state=Job.State.RUNNING,
            lease_token=token,
            lease_until=now + timedelta(seconds=settings.JOB_LEASE_SECONDS),
            attempts=F("attempts") + 1,
        )
        if taken:
            job = Job.objects.get(pk=job.pk)
            # Ours by the token of this call, whatever happened to the row since.
            job.lease_token = token
            return job
    return None


def keep_lease(job: Job, *, now: datetime, done: int, of: int, saying: str = "") -> bool:
    """Note how far the work has come and hold on to the job; answers whether it was asked to stop.

    Raises: LeaseLost.
    """
    held = _held(job).update(
        lease_until=now + timedelta(seconds=settings.JOB_LEASE_SECONDS),
        progress_done=done,
        progress_of=of,
        saying=saying[:200],
    )
    if not held:
        raise LeaseLost(f"{job} was taken over")
    return Job.objects.values_list("stop_asked", flat=True).get(pk=job.pk)


def finish(job: Job, effects: Callable[[], dict[str, Any]], *, now: datetime, stopped: bool) -> None:
    """End the job and make its effects, both or neither.

    Raises: LeaseLost, with nothing changed, when the job is no longer ours.
    """
    with transaction.atomic():
        # First, so that a second run waits here and then finds the job ended.
        state = Job.State.STOPPED if stopped else Job.State.DONE
        if not _held(job).update(state=state, ended_at=now, lease_until=None):
            raise LeaseLost(f"{job} was taken over")
        Job.objects.filter(pk=job.pk).update(result=effects())


def put_back(job: Job, fault: str, *, now: datetime, pause: timedelta = PAUSE_AFTER_FAULT) -> None:
    """After an error: wait a little and try again, or end as failed when it was tried often enough."""
    if job.attempts >= ATTEMPTS_MOST:
        fail(job, fault, now=now)
    else:
        _held(job).update(
            state=Job.State.WAITING,
            lease_until=None,
            due_at=now + pause * job.attempts,
            fault=fault[:300],
        )


def fail(job: Job, fault: str, *, now: datetime) -> None:
    """End the job undone, with the sentence that says why."""
    _held(job).update(state=Job.State.FAILED, ended_at=now, lease_until=None, fault=fault[:300])


def forget_ended(*, now: datetime) -> int:
    """Remove jobs that ended a while ago; answers how many."""
    return Job.objects.filter(ended_at__lt=now - KEPT_AFTER_END).exclude(state__in=OPEN).delete()[0]


def _held(job: Job) -> Any:
    return Job.objects.filter(pk=job.pk, state=Job.State.RUNNING, lease_token=job.lease_token)
