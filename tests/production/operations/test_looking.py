"""What a look found is kept beside its plan."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from production.models import LateLook, LateOffer, LateReason, OfferedLine, Plan, PlannedLine
from production.operations.adopting import adopt_plan
from production.operations.looking import keep_late_look
from production.planning.calm import replayed
from production.planning.effort import Effort
from production.planning.lifting import Limit
from production.planning.looking import Findings, look_into
from production.planning.offers import Offer, Priced
from production.planning.prepare import prepare
from production.planning.resolving import NEVER
from production.planning.solve import plan
from production.planning.why import Because
from production.queries.kept_plan import kept_plan
from production.queries.planning_task import PlanningTask
from tests.factories.inventory import a_tap
from tests.production.queries.test_problem import MONDAY_8, bookends, task_of, wants

pytestmark = pytest.mark.django_db


def late_bookends(**asked: object) -> tuple[PlanningTask, int]:
    """Nine bookends from one copy by Thursday: too many. The task, and the plan's id."""
    planned = bookends(copies=1)
    task = task_of(wants(planned, **{"quantity": 9, "ship_by": date(2026, 10, 8), **asked}))
    done = adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=3)))
    return task, done.facts["plan_id"]


def test_a_real_look_is_kept_with_its_reasons_and_offers() -> None:
    task, plan_id = late_bookends()
    keep = kept_plan(task)
    assert keep is not None
    found = look_into(replayed(prepare(task.problem), keep), effort=Effort(rules=2))

    done = keep_late_look(**a_tap(now=MONDAY_8), plan_id=plan_id, task=task, findings=found)

    look = LateLook.objects.get(plan=plan_id)
    assert done.facts["look_id"] == look.pk
    assert (look.is_whole, look.solves) == (True, found.solves)
    (reason,) = look.reasons.all()
    assert reason.line.wanted_by == "line:12"
    offers = list(look.offers.all())
    assert len(offers) == len(found.offers)
    copy = next(offer for offer in offers if offer.kind == "one more copy")
    assert copy.mould_id == task.mould_facts[copy.name].mould_id
    assert all(offer.points_saved >= 0 for offer in offers)


def test_a_mould_keeps_the_figures_of_when_it_was_looked_into() -> None:
    task, plan_id = late_bookends()
    (name,) = task.mould_facts
    reasons = (Because("line:12/1", "together", (Limit("mould", name), Limit("hands")), -60, 4 * 1440),)

    keep_late_look(
        **a_tap(now=MONDAY_8), plan_id=plan_id, task=task, findings=Findings(reasons, (), 40.0, 9, 3, True)
    )

    reason = LateReason.objects.get()
    facts = task.mould_facts[name]
    assert reason.limits == [
        {
            "kind": "mould",
            "name": name,
            "mould_id": facts.mould_id,
            "copies": 1,
            "in_mould_minutes": facts.in_mould_minutes,
            "clean_and_dry_minutes": facts.clean_and_dry_minutes,
        },
        {"kind": "hands", "name": ""},
    ]
    assert reason.poured_by == datetime.fromisoformat("2026-10-04T23:00:00+00:00")
    assert reason.earliest_packed == datetime.fromisoformat("2026-10-09T00:00:00+00:00")


def test_an_offer_keeps_its_line_and_a_line_that_is_placed_nowhere_has_no_days() -> None:
    task, plan_id = late_bookends()
    priced = Priced(Offer("two parts", "line:12/1", 4), 10.0, 9, 30.0, -2, (("line:12/1", NEVER, 3),))

    keep_late_look(
        **a_tap(now=MONDAY_8), plan_id=plan_id, task=task, findings=Findings((), (priced,), 40.0, 7, 3, False)
    )

    offer = LateOffer.objects.get()
    line = PlannedLine.objects.get(plan=plan_id)
    assert (offer.line, offer.name, offer.pieces) == (line, "", 4)
    assert (offer.points_saved, offer.mixes_saved) == (30, -2)
    helped = OfferedLine.objects.get()
    assert (helped.line, helped.days_before, helped.days_after) == (line, None, 3)
    assert not LateLook.objects.get().is_whole


def test_what_is_not_in_the_plan_is_left_out() -> None:
    task, plan_id = late_bookends()
    gone = "line:99/1"
    priced = (
        Priced(Offer("two parts", gone, 4), 10.0, 9, 30.0, 0),
        Priced(Offer("a bigger jug"), 10.0, 9, 30.0, 0, ((gone, 2, 0),)),
    )

    keep_late_look(
        **a_tap(now=MONDAY_8),
        plan_id=plan_id,
        task=task,
        findings=Findings((Because(gone, "limit", (Limit("hands"),)),), priced, 40.0, 7, 3, True),
    )

    assert LateReason.objects.count() == OfferedLine.objects.count() == 0
    assert [offer.kind for offer in LateOffer.objects.all()] == ["a bigger jug"]


def test_a_second_look_at_a_plan_takes_the_place_of_the_first() -> None:
    task, plan_id = late_bookends()
    because = Because("line:12/1", "limit", (Limit("hands"),))
    for whole in (False, True):
        keep_late_look(
            **a_tap(now=MONDAY_8),
            plan_id=plan_id,
            task=task,
            findings=Findings((because,), (), 40.0, 7, 3, whole),
        )

    assert LateLook.objects.get().is_whole
    assert LateReason.objects.count() == 1
    assert Plan.objects.filter(pk=plan_id).exists()
