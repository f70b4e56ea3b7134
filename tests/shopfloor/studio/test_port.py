"""The studio as the apps see it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from production.models import PlannedLine
from tests.factories.orders import a_range
from tests.factories.production import a_plan
from tests.orders.operations.test_shipping import packed, ship

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def test_a_shipped_order_leaves_the_week_though_the_plan_has_it(signed_in):
    made = a_range()
    gone, marks = packed(made)
    stays, _ = packed(made)
    plan = a_plan(timezone.now())
    for line in (gone.lines.get(), stays.lines.get()):
        PlannedLine.objects.create(
            plan=plan, wanted_by=f"line:{line.pk}", label=line.order.number, article=line.article,
            colour=line.colour, quantity=2, ship_by=(timezone.now() + timedelta(days=4)).date(),
        )  # fmt: skip
    ship(gone, marks)

    page = signed_in.get("/week/").content.decode()

    assert stays.number in page
    assert gone.number not in page
