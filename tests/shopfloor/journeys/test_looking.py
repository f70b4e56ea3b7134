"""Late lines of the plan in use are looked into as a job, and a newer plan ends the look."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from inventory.errors import StudioError
from inventory.models import Act
from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from production.models import LateLook, Plan
from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.models import Job
from shopfloor.jobs.queries import PLAN_WEEK, WHAT_HELPS
from shopfloor.jobs.work import do_due_jobs
from shopfloor.journeys.demo.loading import load_rows
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK
from shopfloor.journeys.looking import ask_for_look, look_into_plan, stop_looking
from shopfloor.journeys.planning import ask_for_plan, plan_week
from shopfloor.studio.port import LiveStudio

MONDAY = datetime(2026, 10, 5, 7, 30, tzinfo=UTC)


@pytest.fixture
def late(db):
    """Samphire Lane with an order that leaves on the next day: the plan in use."""
    load_rows()
    ordered(date(2026, 10, 6))
    return planned()


def ordered(ship_by: date, number: str = "1050") -> None:
    order = NewOrder(
        number=number,
        customer="Turnstone Bar",
        ordered_on=date(2026, 10, 5),
        ship_by=ship_by,
        lines=((ARTICLE_PK["Ferry tray"], COLOUR_PK["Slate"], 2),),
    )
    type_order(order=order, request_key=uuid4(), now=MONDAY)


def planned(now: datetime = MONDAY) -> Plan:
    plan_week(request_key=uuid4(), by=None, now=now, studio=LiveStudio())()
    return Plan.objects.order_by("-id")[0]


def look_at(plan: Plan, now: datetime = MONDAY, **how):
    return look_into_plan(
        plan_id=plan.pk, request_key=UUID(int=9), by=None, now=now, studio=LiveStudio(), **how
    )


def test_a_plan_with_late_lines_asks_for_a_look_into_them(late):
    job = Job.objects.get(kind=WHAT_HELPS)

    assert job.state == Job.State.WAITING
    assert job.payload["plan_id"] == late.pk


def test_a_plan_with_nothing_late_asks_for_none(db):
    load_rows()
    planned()

    assert not Job.objects.filter(kind=WHAT_HELPS).exists()


def test_the_job_keeps_what_it_found_beside_the_plan(late):
    done = do_due_jobs(HANDLERS, lambda: MONDAY + timedelta(seconds=5))

    assert done == 1
    job = Job.objects.get(kind=WHAT_HELPS)
    assert (job.state, job.fault) == (Job.State.DONE, "")
    look = LateLook.objects.get(plan=late)
    assert look.is_whole
    assert look.solves == job.result["solves"] > 0
    (reason,) = look.reasons.all()
    assert reason.line.label == "1050"
    assert look.offers.exists()


def test_progress_is_told_in_words(late):
    told = []
    look_at(late, on_progress=lambda done, of, saying: told.append((done, of, saying)))

    done, of, saying = told[0]
    assert saying == f"Looking for why it is late: {done} of {of}"
    done, of, saying = told[-1]
    assert saying == f"Looking for what would help: {done} of {of}"


def test_a_stop_keeps_what_was_found_and_says_that_it_is_not_all(late):
    look_at(late, should_stop=lambda: True)()

    look = LateLook.objects.get()
    assert (look.is_whole, look.solves) == (False, 0)
    assert [reason.kind for reason in look.reasons.all()] in (["not looked into"], ["too late already"])


def test_nothing_is_kept_before_the_end(late):
    keep = look_at(late)
    assert not LateLook.objects.exists()

    keep()
    keep()
    assert LateLook.objects.count() == 1


def test_a_newer_plan_ends_the_look_into_the_older_one(late):
    newer = planned(MONDAY + timedelta(minutes=1))

    older_job, newer_job = Job.objects.filter(kind=WHAT_HELPS).order_by("id")
    assert older_job.state == Job.State.STOPPED
    assert (newer_job.state, newer_job.payload["plan_id"]) == (Job.State.WAITING, newer.pk)


def test_a_newer_plan_while_it_looks_leaves_the_older_one_alone(late):
    keep = look_at(late)
    newer = planned(MONDAY + timedelta(minutes=1))

    assert keep() == {}
    assert look_at(late)() == {}
    assert not LateLook.objects.exists()
    assert look_at(newer)()["solves"] > 0


def test_asking_for_a_plan_stops_the_look_into_the_old_one(late):
    ask_for_plan(request_key=uuid4(), now=MONDAY)

    states = dict(Job.objects.values_list("kind", "state"))
    assert states == {WHAT_HELPS: Job.State.STOPPED, PLAN_WEEK: Job.State.WAITING}


def test_a_look_can_be_stopped_and_asked_for_again(late):
    stop_looking(request_key=uuid4(), now=MONDAY)
    assert Job.objects.get(kind=WHAT_HELPS).state == Job.State.STOPPED

    first = ask_for_look(request_key=uuid4(), now=MONDAY)
    second = ask_for_look(request_key=uuid4(), now=MONDAY)

    assert first.facts == second.facts
    assert Job.objects.filter(kind=WHAT_HELPS, state=Job.State.WAITING).count() == 1


def test_there_is_nothing_to_look_into_before_the_first_plan(db):
    with pytest.raises(StudioError, match="There is no plan yet"):
        ask_for_look(request_key=uuid4(), now=MONDAY)


def test_once_something_has_changed_the_studio_is_read_as_it_is_now(late):
    """A day later the powder, the moulds and the hours are those of that day."""
    Act.objects.create(
        request_key=uuid4(),
        name="production.start_mix",
        content_digest="",
        said="Mix 1 started.",
        happened_at=MONDAY + timedelta(hours=3),
        recorded_at=MONDAY + timedelta(hours=3),
    )

    look_at(late, now=MONDAY + timedelta(days=1, hours=4))()

    assert LateLook.objects.get().reasons.get().line.label == "1050"
