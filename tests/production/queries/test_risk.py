"""What is at risk as things are: the newest plan played again from the present."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import Delivery
from production.models import MouldCopy, Piece, Plan, PlannedLine, PlannedMix
from production.queries.risk import AtRisk, orders_at_risk
from tests.factories.production import judged, minutes, out_of_mould
from tests.production.queries.test_plan_supplies import boxed, on_its_way
from tests.production.queries.test_problem import MONDAY_8, bookends, task_of, wants
from tests.production.queries.test_week import adopted

pytestmark = pytest.mark.django_db

WEDNESDAY = date(2026, 10, 7)


def risks(*demands, now: datetime) -> list[AtRisk]:
    return list(orders_at_risk(task_of(*demands, now=now)))


def test_before_the_first_plan_nothing_is_at_risk() -> None:
    demand = wants(bookends(), ship_by=date(2026, 10, 6))
    Plan.objects.all().delete()

    assert risks(demand, now=MONDAY_8) == []


def test_a_plan_that_is_kept_puts_nothing_at_risk() -> None:
    planned = bookends()
    adopted(wants(planned))

    assert risks(wants(planned), now=MONDAY_8 + minutes(1)) == []


def test_what_is_late_in_the_plan_already_is_no_news() -> None:
    planned = bookends()
    adopted(wants(planned, ship_by=date(2026, 10, 6)))
    assert PlannedLine.objects.latest("pk").days_late > 0

    assert risks(wants(planned, ship_by=date(2026, 10, 6)), now=MONDAY_8) == []


def test_a_mix_that_was_not_started_in_time_puts_its_order_at_risk() -> None:
    """Poured on Monday it is packed on Wednesday; on Wednesday noon it cannot be before Friday."""
    planned = bookends()
    demand = wants(planned, ship_by=WEDNESDAY)
    adopted(demand)
    assert PlannedLine.objects.latest("pk").days_late == 0

    (one,) = risks(demand, now=MONDAY_8 + timedelta(days=2, hours=4))

    assert (one.label, one.pieces, one.planned_days_late) == ("1045", 2, 0)
    assert one.days_late >= 1
    assert one.sentence.startswith(f"1045: 2 pieces {one.days_late} day")
    assert "as things are, in time in the plan; there is too little time left." in one.sentence


def test_scrap_puts_the_order_at_risk_whose_piece_is_to_be_poured_again() -> None:
    planned = bookends()
    demand = wants(planned, ship_by=WEDNESDAY)
    adopted(demand)
    mix = out_of_mould(PlannedMix.objects.latest("pk"), MONDAY_8)
    after = MONDAY_8 + timedelta(days=1)
    first, second = mix.casts.order_by("position")
    judged(first, at=after)
    judged(second, "scrap", at=after)

    kept = tuple(Piece.objects.values_list("pk", flat=True))
    (one,) = risks(wants(planned, ship_by=WEDNESDAY, kept_piece_ids=kept), now=after)

    assert (one.pieces, one.planned_days_late) == (1, 0)
    assert one.days_late >= 1


@pytest.mark.parametrize("gone", ["lent_on", "retired_on"])
def test_a_copy_that_was_lent_or_broke_puts_the_order_at_risk_that_needs_it(gone: str) -> None:
    planned = bookends()
    demand = wants(planned, quantity=4, ship_by=WEDNESDAY)
    adopted(demand)
    assert PlannedLine.objects.latest("pk").days_late == 0
    assert risks(demand, now=MONDAY_8 + minutes(1)) == []

    MouldCopy.objects.filter(number=2).update(**{gone: MONDAY_8.date()})

    (one,) = risks(demand, now=MONDAY_8 + minutes(1))
    assert (one.label, one.days_late, one.planned_days_late) == ("1045", 1, 0)


def test_what_can_no_longer_be_made_is_at_risk_until_a_plan_says_so() -> None:
    planned = bookends()
    demand = wants(planned)
    adopted(demand)
    MouldCopy.objects.update(lent_on=MONDAY_8.date())

    (one,) = risks(demand, now=MONDAY_8 + minutes(1))

    assert one.sentence.startswith(
        "1045: 2 pieces cannot be made as things are, in time in the plan. No copy of the mould "
    )
    adopted(demand)
    assert risks(demand, now=MONDAY_8 + minutes(2)) == []


def test_a_delivery_that_comes_later_puts_the_order_at_risk_that_waits_for_it() -> None:
    planned = bookends()
    box = boxed(planned, held=0)
    on_its_way(box, 10_000, WEDNESDAY)
    demand = wants(planned)
    adopted(demand)
    assert PlannedLine.objects.latest("pk").days_late == 0

    Delivery.objects.update(expected_on=date(2026, 10, 13))

    (one,) = risks(demand, now=MONDAY_8 + minutes(1))
    assert one.days_late == 5
    assert "it waits for Post box" in one.sentence


def test_an_order_the_plan_does_not_know_is_told_as_that() -> None:
    planned = bookends()
    demand = wants(planned)
    adopted(demand)
    new = wants(planned, wanted_by="line:77", label="1099", ship_by=date(2026, 10, 6))

    (one,) = risks(demand, new, now=MONDAY_8 + minutes(5))

    assert (one.label, one.planned_days_late) == ("1099", None)
    assert "not in the plan yet" in one.sentence


def test_a_wish_is_never_at_risk() -> None:
    planned = bookends()
    adopted(wants(planned))
    wish = wants(planned, wanted_by="wish:1", weight=0, ship_by=date(2026, 10, 5))

    assert risks(wants(planned), wish, now=MONDAY_8 + minutes(5)) == []


def test_the_number_of_queries_does_not_grow_with_the_plan() -> None:
    planned = bookends()

    def queries(count: int) -> int:
        demands = [wants(planned, wanted_by=f"line:{n}", label=str(n)) for n in range(count)]
        adopted(*demands)
        task = task_of(*demands)
        with CaptureQueriesContext(connection) as seen:
            orders_at_risk(task)
        return len(seen)

    assert queries(2) == queries(20) == 5
