"""The plan in the tables plays as the plan that was adopted."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import Plan, PlannedCast, PlannedLine, PlannedMix
from production.operations.adopting import adopt_plan
from production.planning.calm import replayed
from production.planning.effort import Effort
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.solve import plan
from production.queries.kept_plan import kept_plan
from tests.factories.inventory import a_tap
from tests.production.queries.test_problem import MONDAY_8, bookends, task_of, wants

pytestmark = pytest.mark.django_db


def test_before_the_first_plan_there_is_nothing_to_keep() -> None:
    planned = bookends()
    task = task_of(wants(planned))
    for rows in (PlannedCast, PlannedMix, PlannedLine, Plan):
        rows.objects.all().delete()

    assert kept_plan(task) is None


def test_the_newest_plan_plays_as_it_was_adopted() -> None:
    planned = bookends(copies=1)
    task = task_of(wants(planned, quantity=5, ship_by=date(2026, 10, 9)))
    solution = plan(task.problem, effort=Effort(rules=6))
    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=solution)
    PlannedLine.objects.filter(wanted_by="line:12").update(urgency_minutes=-60)

    keep = kept_plan(task)

    assert keep is not None
    assert dict(keep.urgency) == {"line:12/1": -60}
    assert keep.now == 8 * 60
    assert keep.rule == solution.rule
    run = replayed(prepare(task.problem), keep)
    assert run.score == solution.score
    assert plan_of(run).mixes == solution.mixes


def test_reading_it_costs_the_same_queries_whatever_is_planned() -> None:
    planned = bookends(copies=1)
    counts = []
    for quantity in (1, 6):
        task = task_of(wants(planned, quantity=quantity))
        adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=1)))
        with CaptureQueriesContext(
            connection,
        ) as queries:
            kept_plan(task)
        counts.append(len(queries))

    assert counts == [4, 4]
