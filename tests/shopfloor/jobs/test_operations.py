from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.db import transaction

from shopfloor.jobs.models import Job
from shopfloor.jobs.operations import (
    ATTEMPTS_MOST,
    LeaseLost,
    ask,
    ask_to_stop,
    claim,
    finish,
    forget_ended,
    keep_lease,
    put_back,
)
from tests.services.at_once import at_once

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)
LEASE = timedelta(seconds=settings.JOB_LEASE_SECONDS)


def asked(key: str = "week", **more: object) -> int:
    return ask("plan week", key, {}, now=NOW, **more)


def nothing() -> dict[str, int]:
    return {}


def test_a_job_asked_for_twice_is_one_job_while_it_is_open(db):
    first = asked()
    claim(now=NOW)

    assert asked() == first
    assert Job.objects.count() == 1


def test_a_job_can_be_asked_for_again_once_the_first_has_ended(db):
    first = asked()
    finish(claim(now=NOW), nothing, now=NOW, stopped=False)

    assert asked() != first


def test_two_who_ask_at_once_get_the_same_job(transactional_db):
    answers = at_once(*[lambda: asked()] * 6)

    assert len(set(answers)) == 1
    assert Job.objects.count() == 1


def test_a_change_that_is_taken_back_takes_its_job_along(db):
    with pytest.raises(RuntimeError, match="never mind"), transaction.atomic():
        asked()
        raise RuntimeError("never mind")

    assert not Job.objects.exists()


def test_a_job_is_taken_by_one_of_many_at_once(transactional_db):
    job_id = asked()

    taken = [job for job in at_once(*[lambda: claim(now=NOW)] * 6) if job]

    assert [job.pk for job in taken] == [job_id]
    assert Job.objects.get().attempts == 1


def test_a_job_is_not_taken_before_it_is_due(db):
    asked(due_at=NOW + timedelta(minutes=1))

    assert claim(now=NOW) is None
    assert claim(now=NOW + timedelta(minutes=1)) is not None


def test_a_job_whose_worker_died_is_taken_again_when_its_lease_has_run_out(db):
    asked()
    claim(now=NOW)

    assert claim(now=NOW + LEASE) is None
    again = claim(now=NOW + LEASE + timedelta(seconds=1))
    assert again is not None
    assert again.attempts == 2


def test_who_lost_the_lease_can_change_nothing_any_more(db):
    asked()
    first = claim(now=NOW)
    later = NOW + LEASE + timedelta(seconds=1)
    second = claim(now=later)
    made = []

    with pytest.raises(LeaseLost):
        finish(first, lambda: made.append("first") or {}, now=later, stopped=False)
    with pytest.raises(LeaseLost):
        keep_lease(first, now=later, done=1, of=2)
    finish(second, lambda: made.append("second") or {}, now=later, stopped=False)

    assert made == ["second"]


def test_a_job_ends_once_even_when_its_end_is_told_twice(db):
    asked()
    job = claim(now=NOW)
    made = []
    finish(job, lambda: made.append(1) or {"made": 1}, now=NOW, stopped=False)

    with pytest.raises(LeaseLost):
        finish(job, lambda: made.append(2) or {}, now=NOW, stopped=False)

    assert made == [1]
    assert Job.objects.get().result == {"made": 1}


def test_effects_that_fail_leave_the_job_open(db):
    asked()
    job = claim(now=NOW)

    def broken() -> dict[str, int]:
        asked("another")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        finish(job, broken, now=NOW, stopped=False)

    assert Job.objects.get().state == Job.State.RUNNING


def test_work_that_tells_its_progress_keeps_its_lease(db):
    asked()
    job = claim(now=NOW)
    later = NOW + LEASE - timedelta(seconds=1)

    asked_to_stop = keep_lease(job, now=later, done=3, of=10)

    assert asked_to_stop is False
    assert claim(now=NOW + LEASE + timedelta(seconds=1)) is None
    row = Job.objects.get()
    assert (row.progress_done, row.progress_of) == (3, 10)


def test_a_job_that_is_cut_off_again_and_again_is_given_up(db):
    asked()
    for attempt in range(ATTEMPTS_MOST):
        claim(now=NOW + attempt * (LEASE + timedelta(seconds=1)))

    assert claim(now=NOW + timedelta(days=1)) is None
    row = Job.objects.get()
    assert row.state == Job.State.FAILED
    assert row.fault == f"Cut off {ATTEMPTS_MOST} times. It was left undone."


def test_a_job_that_failed_waits_before_it_is_tried_again(db):
    asked()
    put_back(claim(now=NOW), "no luck", now=NOW)

    assert claim(now=NOW + timedelta(seconds=19)) is None
    assert claim(now=NOW + timedelta(seconds=20)).fault == "no luck"


def test_a_waiting_job_is_stopped_at_once_and_a_running_one_is_told(db):
    asked("running")
    running = claim(now=NOW)
    asked("waiting")

    ask_to_stop("running", now=NOW)
    ask_to_stop("waiting", now=NOW)

    assert Job.objects.get(key="waiting").state == Job.State.STOPPED
    assert keep_lease(running, now=NOW, done=0, of=0) is True


def test_jobs_that_ended_a_week_ago_are_forgotten_and_open_ones_never(db):
    asked("old")
    finish(claim(now=NOW), nothing, now=NOW, stopped=False)
    asked("open")

    assert forget_ended(now=NOW + timedelta(days=8)) == 1
    assert [job.key for job in Job.objects.all()] == ["open"]


def test_work_does_not_wait_for_times_that_came_before_the_clock_was_set_back(db):
    asked()
    claim(now=NOW)
    asked("another")
    yesterday = NOW - timedelta(days=1)

    assert {claim(now=yesterday).key, claim(now=yesterday).key} == {"week", "another"}
    assert claim(now=yesterday) is None
