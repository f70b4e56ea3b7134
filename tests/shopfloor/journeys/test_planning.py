"""The week is planned as a job, and a plan outrun by the bench is made anew."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from inventory.models import Act
from orders.demand import open_demand
from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from production.checking.plan_file import read_plan
from production.checking.problem_file import read_problem
from production.checking.rules import faults_in
from production.models import Plan
from production.planning.effort import Effort
from production.planning.forms import plan_to_form, problem_to_form
from production.planning.solve import plan
from production.queries.problem import build_problem
from shopfloor.jobs.models import Job
from shopfloor.jobs.operations import OutrunByEvents
from shopfloor.journeys.demo.loading import load_rows
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK
from shopfloor.journeys.planning import ask_for_plan, plan_week, stop_planning
from shopfloor.studio.port import LiveStudio

MONDAY = datetime(2026, 10, 5, 7, 30, tzinfo=UTC)
KEY = UUID(int=7)


@pytest.fixture
def asked_for(db):
    """Samphire Lane with one order and nothing in its tubs."""
    load_rows()
    order = NewOrder(
        number="1050",
        customer="Turnstone Bar",
        ordered_on=date(2026, 10, 5),
        ship_by=date(2026, 10, 16),
        lines=((ARTICLE_PK["Ferry tray"], COLOUR_PK["Slate"], 2),),
    )
    type_order(order=order, request_key=uuid4(), now=MONDAY)


def planned(now: datetime = MONDAY):
    return plan_week(request_key=KEY, by=None, now=now, studio=LiveStudio())


def test_two_taps_ask_for_one_plan(db):
    first = ask_for_plan(request_key=uuid4(), now=MONDAY)
    second = ask_for_plan(request_key=uuid4(), now=MONDAY)

    assert first.facts == second.facts
    assert Job.objects.count() == 1


def test_a_plan_that_waits_is_stopped_at_once(db):
    ask_for_plan(request_key=uuid4(), now=MONDAY)

    stop_planning(request_key=uuid4(), now=MONDAY)

    assert Job.objects.get().state == Job.State.STOPPED


def test_progress_is_told_in_words(asked_for):
    told = []

    plan_week(
        request_key=KEY,
        by=None,
        now=MONDAY,
        studio=LiveStudio(),
        on_progress=lambda done, of, saying: told.append((done, of, saying)),
    )

    done, of, saying = told[0]
    assert saying.startswith(f"ordering the work in other ways, {done} of {of}; best so far ")


def test_how_hard_the_planner_looks_is_a_setting(asked_for, settings):
    few = planned()().get("plan_id")
    settings.PLAN_EFFORT_PERCENT = 10
    more = plan_week(request_key=UUID(int=8), by=None, now=MONDAY, studio=LiveStudio())()["plan_id"]

    tries = dict(Plan.objects.values_list("pk", "tries"))
    assert 1 <= tries[few] < tries[more]


def test_a_stop_keeps_the_best_so_far_and_the_plan_says_so(asked_for):
    plan_week(request_key=KEY, by=None, now=MONDAY, studio=LiveStudio(), should_stop=lambda: True)()

    plan = Plan.objects.get()
    assert (plan.ended, plan.tries) == ("stopped", 1)
    assert plan.lines.exists()


def test_planning_changes_nothing_until_it_is_adopted(asked_for):
    adopt = planned()
    assert Plan.objects.count() == 0

    adopt()

    assert Plan.objects.get().lines.get(label="1050").quantity == 2


def test_a_plan_adopted_again_is_the_same_plan(asked_for):
    adopt = planned()

    assert adopt() == adopt()
    assert Plan.objects.count() == 1


def test_without_powder_the_line_waits_for_what_is_still_to_be_ordered_and_the_plan_says_so(asked_for):
    planned()()

    plan = Plan.objects.get()
    (lacking,) = [one for one in plan.not_ordered if one["material"] == "Quick compound"]
    first_pour = plan.mixes.order_by("starts_at").first()
    assert plan.lines.get(label="1050").packed_at is not None
    assert first_pour.starts_at.date().isoformat() >= lacking["in_by"]
    assert lacking["short"] > 0


def test_the_plan_of_the_tables_passes_the_checker_of_the_exchanged_forms(asked_for):
    studio = LiveStudio()
    task = build_problem(open_demand(MONDAY.date()), now=MONDAY, hours=studio.hours, facts=studio.facts)
    made = plan(task.problem, effort=Effort(rules=2))

    asked = read_problem(problem_to_form(task.problem))
    assert len(asked.lines) == len(task.problem.lines) > 0
    assert len(asked.recipes) > 0
    assert faults_in(asked, read_plan(plan_to_form(made), asked)) == []


def test_a_mix_started_meanwhile_outruns_the_plan(asked_for):
    adopt = planned()
    Act.objects.create(
        request_key=uuid4(),
        name="production.start_mix",
        content_digest="",
        said="Mix 1 started.",
        happened_at=MONDAY + timedelta(seconds=2),
        recorded_at=MONDAY + timedelta(seconds=2),
    )

    with pytest.raises(OutrunByEvents):
        adopt()

    assert Plan.objects.count() == 0
