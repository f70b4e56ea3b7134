"""What runs behind the newest plan, and what is said of it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.models import Delivery
from production.models import PlannedLine, PlannedMix, RouteStep
from production.operations.finishing import finish_step
from production.queries.plan_age import why_plan_is_old
from production.queries.progress import newest_plan
from tests.factories.inventory import KG, a_tap
from tests.factories.production import judged, minutes, out_of_mould, poured, started
from tests.production.queries.test_problem import MONDAY_8, bookends, wants
from tests.production.queries.test_week import adopted

pytestmark = pytest.mark.django_db


def planned_mix() -> PlannedMix:
    adopted(wants(bookends()))
    return PlannedMix.objects.latest("pk")


def test_a_mix_started_late_is_told_with_how_late() -> None:
    planned = planned_mix()

    mix = started(planned, planned.starts_at + minutes(45))

    said = f"Mix {mix.number} was started 45 min later than planned."
    assert why_plan_is_old(now=planned.starts_at + minutes(46)) == said


def test_a_mix_that_runs_long_is_told() -> None:
    planned = planned_mix()
    mix = started(planned, planned.starts_at + minutes(5))

    assert why_plan_is_old(now=planned.poured_by + minutes(30)) == ""
    said = f"Mix {mix.number} was to be poured 31 min sooner."
    assert why_plan_is_old(now=planned.poured_by + minutes(31)) == said


def test_moulds_not_opened_in_their_time_are_told_until_they_are() -> None:
    planned = planned_mix()
    mix = poured(planned, planned.starts_at)

    assert why_plan_is_old(now=planned.opens_at + minutes(30)) == ""
    said = f"Mix {mix.number} should be out of its moulds by now."
    assert why_plan_is_old(now=planned.opens_at + minutes(31)) == said


def test_a_coat_that_is_overdue_is_told_until_it_is_done() -> None:
    planned = planned_mix()
    mix = out_of_mould(planned, planned.starts_at)
    for cast in mix.casts.all():
        judged(cast, at=planned.opens_at + minutes(5))
    (name, starts_at, _), *_ = PlannedLine.objects.get(plan=newest_plan()).steps
    after = type(MONDAY_8).fromisoformat(starts_at) + minutes(31)

    assert why_plan_is_old(now=after - minutes(1)) == ""
    assert why_plan_is_old(now=after) == f"2 pieces still want {name}, planned before now."
    pieces = [cast.piece_id for cast in mix.casts.all()]
    step = RouteStep.objects.get(name=name)
    finish_step(**a_tap(now=after), piece_ids=pieces, step_id=step.pk)
    assert why_plan_is_old(now=after + minutes(1)) == ""


def test_a_delivery_that_did_not_come_is_told_the_day_after() -> None:
    planned = bookends()
    powder = planned.compound.powder
    Delivery.objects.create(
        material=powder, amount=KG, ordered_on=date(2026, 10, 1), expected_on=date(2026, 10, 5)
    )
    adopted(wants(planned, ship_by=date(2026, 10, 30)))
    PlannedMix.objects.update(starts_at=MONDAY_8 + timedelta(days=9))
    PlannedLine.objects.update(steps=[])

    assert why_plan_is_old(now=MONDAY_8 + minutes(60)) == ""
    said = f"{powder} was expected Mon 5 Oct and is not in."
    assert why_plan_is_old(now=MONDAY_8 + timedelta(days=1)) == said
