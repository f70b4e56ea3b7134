"""Orders at risk become notices, found by a job and closed when the plan is made again."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from inventory.conditions import Condition
from inventory.operations.acts import Done, Tap, act
from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from production.models import PlannedLine
from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.models import Job
from shopfloor.jobs.operations import ask
from shopfloor.jobs.queries import last_result
from shopfloor.jobs.work import do_due_jobs
from shopfloor.journeys.demo.loading import load_rows
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK
from shopfloor.journeys.planning import plan_week
from shopfloor.journeys.risk import look_at_risk, risk_conditions
from shopfloor.notices.models import Notice
from shopfloor.notices.operations import WATCH, watch_notices
from shopfloor.studio.port import LiveStudio

MONDAY = datetime(2026, 10, 5, 7, 30, tzinfo=UTC)


@act("studio.close_days")
def close_days(tap: Tap) -> Done:
    """Stands for anything that is done."""
    return Done("Nobody in.")


@pytest.fixture
def planned(db):
    """Samphire Lane with one order that the plan has in time for the last day it can."""
    load_rows()
    order = NewOrder(
        number="1050",
        customer="Turnstone Bar",
        ordered_on=date(2026, 10, 5),
        ship_by=date(2026, 10, 30),
        lines=((ARTICLE_PK["Ferry tray"], COLOUR_PK["Slate"], 2),),
    )
    type_order(order=order, request_key=uuid4(), now=MONDAY)
    plan_week(request_key=UUID(int=7), by=None, now=MONDAY, studio=LiveStudio())()
    assert PlannedLine.objects.get(label="1050").days_late == 0


def test_nothing_is_at_risk_while_the_plan_holds(planned):
    assert risk_conditions(LiveStudio(), now=MONDAY + timedelta(minutes=1)) == []


def test_an_order_whose_mix_was_never_started_gets_a_notice_with_what_happened(planned):
    later = datetime(2026, 10, 30, 9, 0, tzinfo=UTC)

    (condition,) = risk_conditions(LiveStudio(), now=later)

    assert condition.cause == "at risk 2026-10-30 1050"
    assert condition.text.startswith("1050: 2 pieces ")
    assert "should have been started by now" in condition.text
    assert condition.text.endswith("Plan again to mend it.")
    watch_notices(LiveStudio(), now=later, at_risk=[condition])
    assert Notice.objects.get(kind="at risk").closed_at is None


def test_beyond_a_dozen_orders_at_risk_are_counted_in_one_notice(planned, monkeypatch):
    monkeypatch.setattr("shopfloor.journeys.risk.TOLD_MOST", 0)

    (condition,) = risk_conditions(LiveStudio(), now=datetime(2026, 10, 30, 9, 0, tzinfo=UTC))

    assert condition.cause == "at risk, more"
    assert condition.text == "1 more that leaves later is at risk too. Plan again to mend it."


def test_a_look_within_a_request_leaves_orders_at_risk_as_they_are(planned):
    risk = Condition("at risk 1050", "at risk", "1050 is at risk.", "/week/")
    watch_notices(LiveStudio(), now=MONDAY, at_risk=[risk])

    watch_notices(LiveStudio(), now=MONDAY)
    assert Notice.objects.get(kind="at risk").closed_at is None
    watch_notices(LiveStudio(), now=MONDAY, at_risk=[])
    assert Notice.objects.get(kind="at risk").closed_at == MONDAY


def test_it_looks_again_when_something_was_done_or_after_ten_minutes(planned):
    later = datetime(2026, 10, 30, 9, 0, tzinfo=UTC)

    def looked(minutes, last):
        return look_at_risk(LiveStudio(), now=later + timedelta(minutes=minutes), last=last)

    first = looked(0, {})
    assert [condition.kind for condition in first.conditions] == ["at risk"]
    again = looked(9, first.mark)
    assert again.conditions is None
    assert again.mark == first.mark
    assert looked(10, again.mark).conditions == looked(10, {}).conditions
    close_days(request_key=uuid4(), now=later, by=None)
    assert looked(9, first.mark).conditions is not None
    # Unless the look takes long: then that is a while off.
    assert looked(9, first.mark | {"took_seconds": 30}).conditions is None
    assert looked(10, first.mark | {"took_seconds": 30}).conditions is not None


def test_nothing_is_looked_into_while_the_plan_holds(planned):
    looked = look_at_risk(LiveStudio(), now=MONDAY + timedelta(minutes=1), last={})

    assert (looked.conditions, looked.mark) == ([], {})


def test_the_job_keeps_its_mark_for_the_next(planned):
    later = datetime(2026, 10, 30, 9, 0, tzinfo=UTC)
    marks = []
    for minutes in (0, 1):
        now = later + timedelta(minutes=minutes)
        ask(WATCH, WATCH, {}, now=now)
        do_due_jobs(HANDLERS, lambda now=now: now)
        marks.append(last_result(WATCH)["looked_at"])

    assert marks == [later.isoformat()] * 2
    assert Notice.objects.filter(kind="at risk", closed_at__isnull=True).count() == 1


def test_an_act_that_ages_the_plan_asks_for_a_look(db):
    LiveStudio().after_act("production.lend_copy")
    LiveStudio().after_act("production.pour_cast")

    assert list(Job.objects.values_list("kind", flat=True)) == [WATCH]
