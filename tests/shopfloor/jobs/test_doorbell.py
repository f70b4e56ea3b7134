"""The real worker and the real clock, on the files of the studio and on a real Redis."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from tests.services.bench_of_children import Children
from tests.services.postgres import new_database

pytestmark = pytest.mark.services

STATES = "select state, attempts from jobs_job where kind = 'slow'"
EFFECTS = "select reason from studio_closedday order by reason"


@pytest.fixture(params=["files", "redis", "redis and postgresql"])
def children(request: pytest.FixtureRequest) -> Iterator[Children]:
    environment = {}
    if "redis" in request.param:
        environment["REDIS_URL"] = request.getfixturevalue("redis_url")
    if "postgresql" in request.param:
        environment["DATABASE_URL"] = new_database(request.getfixturevalue("postgres_url"))
    made = Children(**environment)
    yield made
    made.clear()


@pytest.fixture
def children_on_files() -> Iterator[Children]:
    made = Children()
    yield made
    made.clear()


def test_a_job_asked_for_is_done(children: Children):
    children.start("worker")

    children.ask_slow(0)

    children.wait_for(STATES, [("done", 1)])
    assert children.rows(EFFECTS) == [("slow 1",)]


def test_a_job_cut_off_by_a_kill_runs_again_and_leaves_one_effect(children: Children):
    children.start("worker", "beat")
    children.ask_slow(2)
    children.begun(1)

    children.kill("worker")
    assert children.rows(STATES) == [("running", 1)]
    children.start("worker")

    children.wait_for(STATES, [("done", 2)])
    assert children.rows(EFFECTS) == [("slow 1",)]


def test_a_job_whose_ring_was_lost_is_found_by_the_clock(children_on_files: Children):
    children_on_files.ask_slow(0)
    for message in (children_on_files.studio.directory / "doorbell" / "messages").iterdir():
        message.unlink()

    children_on_files.start("worker", "beat")

    children_on_files.wait_for(STATES, [("done", 1)])


def test_two_workers_do_a_job_once(children_on_files: Children):
    children_on_files.start("worker", "beat")
    first = children_on_files.running.pop("worker")
    children_on_files.start("worker")
    children_on_files.running["first worker"] = first

    children_on_files.ask_slow(1.5)

    children_on_files.wait_for(STATES, [("done", 1)])
    assert children_on_files.diary.read_text() == "begun\n"
    assert children_on_files.rows(EFFECTS) == [("slow 1",)]


def test_a_running_job_stops_when_it_is_asked_to(children_on_files: Children):
    children_on_files.start("worker")
    children_on_files.ask_slow(60)
    children_on_files.begun(1)

    children_on_files.shell(
        "from datetime import UTC, datetime\n"
        "from shopfloor.jobs.operations import ask_to_stop\n"
        "ask_to_stop('slow', now=datetime.now(UTC))"
    )

    children_on_files.wait_for(STATES, [("stopped", 1)])


def test_the_next_clock_rings_soon_after_the_one_that_rang_was_killed(children_on_files: Children):
    held = "select count(*) from jobs_clock where until is not null"
    children_on_files.start("beat")
    children_on_files.wait_for(held, [(1,)])
    holder = children_on_files.rows("select holder from jobs_clock")
    children_on_files.running["first"] = children_on_files.running.pop("beat")
    children_on_files.start("beat", "worker")
    children_on_files.ask_slow(0)
    children_on_files.wait_for(STATES, [("done", 1)])
    assert children_on_files.rows("select holder from jobs_clock") == holder

    children_on_files.kill("first")

    children_on_files.wait_for(f"select count(*) from jobs_clock where holder <> '{holder[0][0]}'", [(1,)])


def test_a_change_is_kept_when_the_broker_is_down(children_on_files: Children):
    children_on_files.studio.environment["REDIS_URL"] = "redis://127.0.0.1:1/0"
    began = time.monotonic()

    children_on_files.ask_slow(0)

    assert children_on_files.rows(STATES) == [("waiting", 0)]
    assert time.monotonic() - began < 10
