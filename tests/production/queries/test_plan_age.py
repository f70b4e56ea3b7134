"""When the newest plan is old, and what is said of it."""

from __future__ import annotations

import pytest

from inventory.operations.acts import Done, Tap, act
from production.models import MouldCopy, PlannedMix
from production.operations.owning import lend_copy
from production.queries.plan_age import why_plan_is_old
from tests.factories.inventory import a_tap
from tests.factories.production import judged, minutes, out_of_mould
from tests.production.queries.test_problem import MONDAY_8, bookends, wants
from tests.production.queries.test_week import adopted

pytestmark = pytest.mark.django_db


@act("orders.type_order")
def type_order(tap: Tap) -> Done:
    """Stands for the act of the orders, which the bench does not know."""
    return Done("Kept.")


@act("studio.close_days")
def close_days(tap: Tap) -> Done:
    """Stands for the act of the studio, which the bench does not know."""
    return Done("Nobody in.")


def test_before_the_first_plan_none_is_old() -> None:
    type_order(**a_tap(now=MONDAY_8))

    assert why_plan_is_old(now=MONDAY_8) == ""


def test_an_order_typed_after_the_plan_makes_it_old() -> None:
    adopted(wants(bookends()))
    assert why_plan_is_old(now=MONDAY_8) == ""

    type_order(**a_tap(now=MONDAY_8 + minutes(1)))

    assert why_plan_is_old(now=MONDAY_8) == "Orders changed since this plan."


def test_other_hours_make_it_old_and_a_new_plan_is_new() -> None:
    planned = bookends()
    adopted(wants(planned))
    close_days(**a_tap(now=MONDAY_8 + minutes(1)))
    assert why_plan_is_old(now=MONDAY_8) == "Hours with hands in changed since this plan."

    adopted(wants(planned), now=MONDAY_8 + minutes(2))

    assert why_plan_is_old(now=MONDAY_8 + minutes(2)) == ""


def test_a_mix_that_was_not_started_in_its_time_makes_the_plan_old() -> None:
    adopted(wants(bookends()))
    starts_at = PlannedMix.objects.latest("pk").starts_at

    assert why_plan_is_old(now=starts_at + minutes(30)) == ""
    said = "1 mix should have been started by now, mix 1 first."
    assert why_plan_is_old(now=starts_at + minutes(31)) == said


def test_a_plan_is_old_once_a_cast_came_out_scrap() -> None:
    adopted(wants(bookends()))
    planned = PlannedMix.objects.latest("pk")
    mix = out_of_mould(planned, planned.starts_at)
    first, second = mix.casts.order_by("position")
    after = planned.starts_at + minutes(75)

    judged(first, at=after)
    assert why_plan_is_old(now=after) == ""
    judged(second, "scrap", at=after)
    assert why_plan_is_old(now=after) == "Casts came out short since this plan."


def test_a_mould_that_was_lent_makes_the_plan_old() -> None:
    adopted(wants(bookends()))

    lend_copy(**a_tap(now=MONDAY_8 + minutes(1)), copy_id=MouldCopy.objects.first().pk, on=MONDAY_8.date())

    assert why_plan_is_old(now=MONDAY_8 + minutes(2)) == "Copies of moulds came or went since this plan."


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("inventory.put_off_delivery", "Deliveries changed since this plan."),
        ("inventory.note_spill", "What the tubs hold changed since this plan."),
        ("studio.work_holiday", "Hours with hands in changed since this plan."),
    ],
)
def test_what_changes_what_a_plan_reckons_with_makes_it_old(name: str, said: str) -> None:
    adopted(wants(bookends()))

    @act(name)
    def something(tap: Tap) -> Done:
        return Done("Noted.")

    something(**a_tap(now=MONDAY_8 + minutes(1)))

    assert why_plan_is_old(now=MONDAY_8 + minutes(2)) == said
