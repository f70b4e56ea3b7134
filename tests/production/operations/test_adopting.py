"""A solved plan becomes rows that nothing edits later."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from uuid import uuid4

import pytest

from inventory.errors import RequestKeyReused
from production.models import Plan, PlannedCast, PlannedLine, PlannedMix
from production.operations.adopting import adopt_plan
from production.planning.effort import Effort
from production.planning.list_rule import ListRule
from production.planning.solution import Bounds
from production.planning.solve import plan
from tests.factories.inventory import a_tap
from tests.factories.production import a_colour, poured
from tests.production.queries.test_problem import MONDAY_8, bookends, task_of, wants
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def test_a_plan_is_kept_with_its_mixes_casts_and_lines() -> None:
    planned = bookends()
    task = task_of(wants(planned, quantity=3))
    before = Plan.objects.get()

    done = adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=2)))

    newest = Plan.objects.order_by("-id").first()
    assert newest.pk == done.facts["plan_id"] != before.pk
    assert newest.starts_on == date(2026, 10, 5)
    mixes = list(newest.mixes.order_by("starts_at"))
    assert [sum(cast.quantity for cast in mix.casts.all()) for mix in mixes] == [2, 1]
    # Ten minutes to weigh and mix and a minute for each of two moulds; opened an hour later.
    assert mixes[0].poured_by - mixes[0].starts_at == timedelta(minutes=12)
    assert mixes[0].opens_at - mixes[0].poured_by >= timedelta(minutes=60)
    (line,) = newest.lines.all()
    assert (line.wanted_by, line.board, line.quantity, line.days_late) == ("line:12", 1, 3, 0)
    assert [name for name, _, _ in line.steps] == ["coat 1", "pack"]
    assert line.packed_at == datetime.fromisoformat(line.steps[-1][1]) + timedelta(minutes=5)


def test_a_plan_keeps_what_is_proven_about_it_and_how_its_search_ended() -> None:
    task = task_of(wants(bookends()))
    solution = replace(
        plan(task.problem, effort=Effort(rules=1)),
        bounds=Bounds(35.25, "one mould at a time", 2),
        tries=7,
        ended="stopped",
        missing="ortools",
        kept_mixes=(3, 4),
        rule=ListRule(2880, 1440, 0.7),
        urgency=((task.problem.lines[0].id, -240),),
    )

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=solution)

    kept = Plan.objects.order_by("-id")[0]
    # Points are whole, so that no plan below 36 exists where none is below 35.25.
    assert (kept.bound_points, kept.bound_mixes, kept.tries) == (36, 2, 7)
    assert (kept.ended, kept.missing, kept.kept_mixes, kept.mixes_before) == ("stopped", "ortools", 3, 4)
    assert (kept.pour_ahead_minutes, kept.look_ahead_minutes, kept.least_fill) == (2880, 1440, 0.7)
    assert kept.lines.get().urgency_minutes == -240


def test_a_late_line_keeps_what_held_it_with_the_figures_of_then() -> None:
    planned = bookends(copies=1)
    task = task_of(wants(planned, quantity=9, ship_by=date(2026, 10, 8)))

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=2)))

    line = PlannedLine.objects.order_by("-id").first()
    assert line.days_late >= 1
    assert line.held_by in PlannedLine.HeldBy.values
    if line.held_by == "mould":
        assert line.held_facts["copies"] == 1
        assert line.held_facts["clean_and_dry_minutes"] == 120


def test_what_is_ordered_too_late_says_when_it_should_have_been_poured() -> None:
    planned = bookends()
    task = task_of(wants(planned, ship_by=date(2026, 10, 6)))

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=1)))

    line = PlannedLine.objects.order_by("-id").first()
    assert line.held_by == "ordered too late"
    assert datetime.fromisoformat(line.held_facts["latest_first_pour"]) < MONDAY_8


def test_shelf_stock_is_never_late() -> None:
    planned = bookends()
    task = task_of(wants(planned, wanted_by="wish:3", weight=0, ship_by=date(2026, 10, 5)))

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=1)))

    line = PlannedLine.objects.get(wanted_by="wish:3")
    assert (line.days_late, line.held_by) == (0, "")
    assert line.packed_at is not None


def test_what_cannot_be_made_is_kept_with_its_sentence() -> None:
    planned = bookends()
    rust = a_colour(name="Rust")
    task = task_of(wants(planned, colour_id=rust.pk))

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=1)))

    line = PlannedLine.objects.order_by("-id").first()
    assert (line.packed_at, line.days_late) == (None, 0)
    assert line.held_facts["cannot_be_made"].startswith("No recipe for Rust")


def test_a_line_the_calendar_cannot_hold_is_late_to_its_end() -> None:
    planned = bookends()
    task = task_of(wants(planned))
    moulds = tuple(
        replace(mould, free_at=(task.problem.minutes,) * mould.copies) for mould in task.problem.moulds
    )
    task = replace(task, problem=replace(task.problem, moulds=moulds))

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=1)))

    line = PlannedLine.objects.order_by("-id").first()
    assert line.packed_at is None
    assert line.days_late > 30


def test_casts_that_only_have_to_be_opened_leave_no_line() -> None:
    poured(bookends())
    before = PlannedLine.objects.count()
    task = task_of(now=MONDAY_8 + timedelta(minutes=20))

    adopt_plan(**a_tap(now=MONDAY_8), task=task, solution=plan(task.problem, effort=Effort(rules=1)))

    assert PlannedLine.objects.count() == before


def test_adopting_again_with_the_same_key_keeps_one_plan() -> None:
    planned = bookends()
    task = task_of(wants(planned))
    solution = plan(task.problem, effort=Effort(rules=1))
    tap = a_tap(uuid4(), now=MONDAY_8)

    first = adopt_plan(**tap, task=task, solution=solution)
    again = adopt_plan(**tap, task=task, solution=solution)

    assert again.again
    assert again.facts == first.facts
    assert Plan.objects.count() == 2


def test_the_same_key_with_another_plan_is_refused_and_keeps_nothing() -> None:
    planned = bookends()
    task = task_of(wants(planned))
    tap = a_tap(uuid4(), now=MONDAY_8)
    adopt_plan(**tap, task=task, solution=plan(task.problem, effort=Effort(rules=1)))
    other = task_of(wants(planned, quantity=3))
    rows = (Plan.objects.count(), PlannedMix.objects.count(), PlannedCast.objects.count())

    with pytest.raises(RequestKeyReused):
        adopt_plan(**tap, task=other, solution=plan(other.problem, effort=Effort(rules=1)))

    assert (Plan.objects.count(), PlannedMix.objects.count(), PlannedCast.objects.count()) == rows


@pytest.mark.django_db(transaction=True)
def test_two_screens_that_adopt_with_one_key_keep_one_plan() -> None:
    planned = bookends()
    task = task_of(wants(planned))
    solution = plan(task.problem, effort=Effort(rules=1))
    tap = a_tap(uuid4(), now=MONDAY_8)

    def adopt() -> object:
        return adopt_plan(**tap, task=task, solution=solution)

    first, second = at_once(adopt, adopt)

    assert first.facts == second.facts
    assert Plan.objects.count() == 2
