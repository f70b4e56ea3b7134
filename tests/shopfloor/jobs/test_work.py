from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

from inventory.errors import StudioError
from shopfloor.jobs.models import Job
from shopfloor.jobs.operations import OutrunByEvents, ask, ask_to_stop, claim
from shopfloor.jobs.work import Effects, Work, do_due_jobs
from shopfloor.studio.port import LiveStudio

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


class Clock:
    """A clock that goes on by a second with every look at it."""

    def __init__(self) -> None:
        self.at = NOW

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


def test_every_due_job_is_done_and_says_what_it_made(db):
    ask("count", "one", {"figure": 1}, now=NOW)
    ask("count", "two", {"figure": 2}, now=NOW)

    done = do_due_jobs({"count": lambda work: lambda: {"figure": work.payload["figure"]}}, Clock())

    assert done == 2
    assert [job.result for job in Job.objects.order_by("id")] == [{"figure": 1}, {"figure": 2}]
    assert {job.state for job in Job.objects.all()} == {Job.State.DONE}


def test_what_a_job_is_at_is_kept_in_words(db):
    def count(work: Work) -> Effects:
        work.tell(3, 9, "counting spoons, 3 of 9")
        work.tell(4, 9, "counting spoons, 4 of 9")
        return dict

    ask("count", "one", {}, now=NOW)
    do_due_jobs({"count": count}, Clock())

    assert Job.objects.get().saying == "counting spoons, 4 of 9"


def test_a_refusal_ends_the_job_with_its_sentence(db):
    def refuse(work: Work) -> Effects:
        raise StudioError("No mould is measured yet. Measure one first.")

    ask("count", "one", {}, now=NOW)
    do_due_jobs({"count": refuse}, Clock())

    job = Job.objects.get()
    assert job.state == Job.State.FAILED
    assert job.fault == "No mould is measured yet. Measure one first."


def test_an_error_leaves_the_job_to_be_tried_again_later(db):
    def stumble(work: Work) -> Effects:
        raise ZeroDivisionError("no hands")

    ask("count", "one", {}, now=NOW)
    done = do_due_jobs({"count": stumble}, Clock())

    job = Job.objects.get()
    assert done == 1
    assert (job.state, job.fault) == (Job.State.WAITING, "ZeroDivisionError: no hands")
    assert job.due_at > NOW + timedelta(seconds=20)


def test_work_outrun_by_events_is_done_anew_at_once(db):
    runs = []

    def plan(work: Work) -> Effects:
        def adopt() -> dict[str, object]:
            runs.append(work.job.attempts)
            if len(runs) == 1:
                raise OutrunByEvents("A mix was started meanwhile.")
            return {"runs": len(runs)}

        return adopt

    ask("plan", "week", {}, now=NOW)
    do_due_jobs({"plan": plan}, Clock())

    job = Job.objects.get()
    assert (job.state, job.result) == (Job.State.DONE, {"runs": 2})


def test_work_hears_that_it_was_asked_to_stop_and_keeps_what_it_has(db):
    def patient(work: Work) -> Effects:
        for done in range(100):
            work.tell(done, 100)
            if done == 5:
                ask_to_stop("one", now=NOW)
            if work.should_stop():
                return lambda: {"kept": done}
        raise AssertionError("it was never stopped")

    ask("count", "one", {}, now=NOW)
    do_due_jobs({"count": patient}, Clock())

    job = Job.objects.get()
    assert (job.state, job.result) == (Job.State.STOPPED, {"kept": 5})
    assert (job.progress_done, job.progress_of) == (5, 100)


def test_work_that_cannot_say_how_far_it_is_stays_its_own_beyond_the_lease(transactional_db, settings):
    settings.JOB_LEASE_SECONDS = 1
    studio = LiveStudio()
    ask("plan week", "week", {}, now=studio.now())
    job = claim(now=studio.now())
    with Work(job, studio.now).held():
        time.sleep(1.6)

        assert claim(now=studio.now()) is None
