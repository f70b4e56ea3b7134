"""What a plan takes that is neither here nor ordered, kept and said."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.models import Material
from production.planning.effort import Effort
from production.planning.solve import plan
from production.queries.not_ordered import lacking_in, lacking_words
from tests.factories.inventory import a_supplier
from tests.production.queries.test_plan_supplies import boxed
from tests.production.queries.test_problem import bookends, task_of, wants

pytestmark = pytest.mark.django_db

MONDAY = date(2026, 10, 5)


def lacking(*, held: int, quantity: int = 2, **fields) -> list[dict]:
    planned = bookends()
    boxed(planned, held=held, **fields)
    task = task_of(wants(planned, quantity=quantity))
    return lacking_in(task, plan(task.problem, effort=Effort(rules=1)))


def test_what_is_short_is_kept_with_the_last_day_to_order_it() -> None:
    (one,) = lacking(held=1, supplier=a_supplier(lead_working_days=3), slack_days=1)

    assert (one["material"], one["short"], one["in_by"]) == ("Post box", 1000, "2026-10-09")
    # Nobody is in at the weekend, so the pieces are packed on Monday.
    assert one["first_at"].startswith("2026-10-12T08:")
    assert one["order_by"] == "2026-10-06"
    (said,) = lacking_words([one], MONDAY)
    assert said.sentence == (
        "1 pc short from Mon 12 Oct, and not ordered. Order by Tue 6 Oct; the plan takes it to be in by"
        " Fri 9 Oct."
    )
    assert said.material_id == Material.objects.get(name="Post box").pk


def test_a_day_that_is_past_is_today_and_an_unknown_supplier_is_said() -> None:
    (one,) = lacking(held=0, slack_days=0)

    (said,) = lacking_words([one], date(2026, 10, 9))
    assert " Order today; " in said.sentence
    assert said.sentence.endswith("No supplier is noted: 3 working days are reckoned.")


def test_what_is_enough_is_not_told() -> None:
    assert lacking(held=2) == []
