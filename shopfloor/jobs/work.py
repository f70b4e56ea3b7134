"""Doing one job: from the lease to its end, whatever happens on the way."""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import Error, connection

from inventory.errors import StudioError
from shopfloor.jobs.models import Job
from shopfloor.jobs.operations import LeaseLost, OutrunByEvents, claim, fail, finish, keep_lease, put_back

logger = logging.getLogger(__name__)

# How often a running job writes how far it is, and looks whether it was asked to stop.
LOOK_EVERY = timedelta(seconds=1)

Effects = Callable[[], dict[str, Any]]
Clock = Callable[[], datetime]


class Work:
    """What a handler is given: what was asked, the clock, and ways to tell progress and to hear a stop."""

    def __init__(self, job: Job, clock: Clock) -> None:
        self.job = job
        self.payload: dict[str, Any] = job.payload
        self.now = clock
        self.stopped = False
        self._done = self._of = 0
        self._saying = ""
        self._looked_at = clock()

    def tell(self, done: int, of: int, saying: str = "") -> None:
        """Say that `done` of `of` steps are behind, and in words what it is at. Cheap: written once a second.

        Raises: LeaseLost.
        """
        self._done, self._of, self._saying = done, of, saying
        self._look()

    def should_stop(self) -> bool:
        """Whether somebody asked for an end. Cheap: looked up once a second.

        Raises: LeaseLost.
        """
        self._look()
        return self.stopped

    @contextlib.contextmanager
    def held(self) -> Iterator[None]:
        """Hold on to the job while something runs that cannot say how far it is, by a thread beside it."""
        over = threading.Event()

        def hold_on() -> None:
            try:
                while not over.wait(settings.JOB_LEASE_SECONDS / 3):
                    keep_lease(self.job, now=self.now(), done=self._done, of=self._of, saying=self._saying)
            except (LeaseLost, Error) as fault:
                # The end of the work finds out for itself whether the job is still its own.
                logger.warning("%s is not held any more: %s", self.job, fault)
            finally:
                connection.close()

        beside = threading.Thread(target=hold_on, daemon=True, name=f"hold {self.job.pk}")
        beside.start()
        try:
            yield
        finally:
            over.set()
            beside.join()

    def _look(self) -> None:
        now = self.now()
        if now - self._looked_at >= LOOK_EVERY:
            self._looked_at = now
            self.stopped = keep_lease(self.job, now=now, done=self._done, of=self._of, saying=self._saying)


Handler = Callable[[Work], Effects]


def do_due_jobs(handlers: Mapping[str, Handler], clock: Clock) -> int:
    """Do every job that is due, one after the other; answers how many were taken."""
    count = 0
    while (job := claim(now=clock())) is not None:
        do_job(job, handlers, clock)
        count += 1
    return count


def do_job(job: Job, handlers: Mapping[str, Handler], clock: Clock) -> None:
    """Run the handler of a claimed job outside any transaction, then its effects and its end in one.

    A refusal (StudioError) ends the job as failed with its sentence. Any other error is logged and the job
    is tried again later, since nothing of it was kept.
    """
    work = Work(job, clock)
    try:
        effects = handlers[job.kind](work)
        finish(job, effects, now=clock(), stopped=work.stopped)
    except LeaseLost:
        logger.warning("%s took longer than its lease and was taken over", job)
    except OutrunByEvents as events:
        put_back(job, str(events), now=clock(), pause=timedelta(0))
    except StudioError as fault:
        fail(job, fault.message, now=clock())
    except Exception as fault:
        logger.exception("%s failed on attempt %s", job, job.attempts)
        put_back(job, f"{type(fault).__name__}: {fault}", now=clock())
