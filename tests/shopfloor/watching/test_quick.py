"""The quick looks, and what a stranger sees of them."""

from datetime import UTC, datetime, timedelta
from functools import partial

import pytest

from shopfloor.backups.models import KeptCopy
from shopfloor.jobs.models import Job
from shopfloor.notices.operations import WATCH
from shopfloor.watching import quick
from shopfloor.watching.findings import State

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def a_watch(*, asked_minutes_ago, is_done):
    asked = NOW - timedelta(minutes=asked_minutes_ago)
    state = Job.State.DONE if is_done else Job.State.WAITING
    ended = asked + timedelta(seconds=2) if is_done else None
    return Job.objects.create(kind=WATCH, key=WATCH, state=state, made_at=asked, due_at=asked, ended_at=ended)


@pytest.mark.parametrize(
    ("asked_minutes_ago", "is_done", "state", "said"),
    [
        (1, True, State.OK, "Clock and worker go on."),
        (1, False, State.OK, "Clock and worker go on."),
        (9, True, State.DOWN, "The clock stands still: it last rang 9 min ago."),
        (9, False, State.DOWN, "The worker does nothing: work has waited 9 min."),
    ],
)
def test_a_clock_or_worker_that_stands_still_is_told_apart(db, asked_minutes_ago, is_done, state, said):
    a_watch(asked_minutes_ago=asked_minutes_ago, is_done=is_done)

    found = quick.look_at_worker(NOW)

    assert (found.state, found.said) == (state, said)


def test_a_good_copy_must_be_young_and_where_it_was_put(db, settings, tmp_path):
    settings.COPIES_DIR = str(tmp_path)
    KeptCopy.objects.create(made_at=NOW - timedelta(hours=6), why="night", name="a.tar.gz")

    gone = quick.look_at_copies(NOW)
    (tmp_path / "a.tar.gz").write_bytes(b"")
    young, old = quick.look_at_copies(NOW), quick.look_at_copies(NOW + timedelta(days=3))

    assert gone.said == "The last good copy, a.tar.gz, is not in its folder any more."
    assert (young.state, young.said) == (State.OK, "The last good copy is 6 h old.")
    assert (old.state, old.said) == (State.LOOK, "The last good copy is 3 days old.")


@pytest.mark.parametrize(("room", "state"), [(10**18, State.DOWN), (0, State.OK)])
def test_a_full_disk_is_told_before_it_is_full(monkeypatch, room, state):
    monkeypatch.setattr(quick, "FREE_LEAST", room)
    monkeypatch.setattr(quick, "FREE_LOW", room)

    assert quick.look_at_disk().state == state


def test_a_database_without_tables_is_told_from_one_that_does_not_answer(monkeypatch, db):
    monkeypatch.setattr(quick.connection.introspection, "table_names", list)

    (found, _) = quick.quick_findings(NOW)

    assert (found.state, found.mend[:33]) == (State.DOWN, "Open the studio with manage.py up")
    assert found.said.startswith("The database is empty")


def test_a_broker_that_is_away_is_told_with_what_brings_it_back(monkeypatch):
    away = partial(quick.app.connection_for_write, "redis://127.0.0.1:1/0")
    monkeypatch.setattr(quick.app, "connection_for_write", away)

    found = quick.look_at_broker()

    assert (found.state, found.mend) == (State.LOOK, "Start Redis, or look at REDIS_URL and BROKER_URL.")


def test_a_stranger_sees_how_it_stands_and_nothing_else(client, db):
    a_watch(asked_minutes_ago=0, is_done=False)

    answer = client.get("/healthz")

    # The clock of the page is the real one, years after the job of this test.
    assert answer.status_code == 503
    assert answer.json() == {
        "state": "down",
        "database": "ok",
        "secret": "ok",
        "folder": "ok",
        "broker": "ok",
        "worker": "down",
        "disk": "ok",
        "backup": "look",
    }
