"""A look is read with its reasons and offers in a fixed number of queries."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import Plan, PlannedLine
from production.operations.looking import keep_late_look
from production.planning.lifting import Limit
from production.planning.looking import Findings
from production.planning.offers import Offer, Priced
from production.planning.why import Because
from production.queries.late_looks import late_look_of
from production.queries.planning_task import PlanningTask
from tests.factories.inventory import a_tap
from tests.production.operations.test_looking import late_bookends
from tests.production.queries.test_problem import MONDAY_8

pytestmark = pytest.mark.django_db


def look_into(task: PlanningTask, plan_id: int, *kinds: str, is_whole: bool = True, offers: int = 1) -> Plan:
    """A look into a plan that found reasons of these kinds for its first boards."""
    limits = (Limit("hands"),)
    found = Findings(
        reasons=tuple(Because(f"line:12/{n}", kind, limits) for n, kind in enumerate(kinds, start=1)),
        offers=tuple(
            Priced(Offer("Saturday hands"), 10.0, 9, 30.0, 1, (("line:12/1", 3, 0),)) for _ in range(offers)
        ),
        points=40.0,
        mixes=9,
        solves=3,
        is_whole=is_whole,
    )
    keep_late_look(**a_tap(now=MONDAY_8), plan_id=plan_id, task=task, findings=found)
    return Plan.objects.get(pk=plan_id)


def test_a_plan_that_was_not_looked_into_has_none() -> None:
    _, plan_id = late_bookends()

    assert late_look_of(Plan.objects.get(pk=plan_id)) is None


def test_reasons_and_helped_lines_are_found_by_their_line() -> None:
    task, plan_id = late_bookends(quantity=24)
    read = late_look_of(look_into(task, plan_id, "limit", "together"))

    assert read is not None
    first = PlannedLine.objects.get(plan=plan_id, board=1)
    assert read.reasons[first.pk].kind == "limit"
    assert len(read.reasons) == 2
    assert read.offers[0].helped[first.pk].days_before == 3


@pytest.mark.parametrize(
    ("kinds", "stopped", "whole"),
    [(("limit",), False, True), (("limit", "not looked into"), False, False), (("limit",), True, False)],
)
def test_a_look_is_whole_when_it_went_to_its_end_with_a_reason_for_every_line(
    kinds: tuple[str, ...], stopped: bool, whole: bool
) -> None:
    task, plan_id = late_bookends(quantity=24)
    read = late_look_of(look_into(task, plan_id, *kinds, is_whole=not stopped))

    assert read is not None
    assert read.is_whole is whole


def test_it_is_read_in_five_queries_however_much_was_found() -> None:
    task, plan_id = late_bookends(quantity=24)
    counts = []
    for offers in (1, 7):
        plan = look_into(task, plan_id, "limit", offers=offers)
        with CaptureQueriesContext(connection) as queries:
            late_look_of(plan)
        counts.append(len(queries))

    assert counts == [5, 5]
