"""Names are erased by themselves, if the studio chose a time."""

from __future__ import annotations

from datetime import timedelta

import pytest

from orders.models import Customer
from shopfloor.journeys.forgetting import forget_names
from shopfloor.studio.models import StudioSettings
from shopfloor.studio.port import LiveStudio
from tests.factories.inventory import MONDAY
from tests.factories.orders import a_range, an_order
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db
A_YEAR_ON = MONDAY + timedelta(days=366)


def test_after_the_chosen_months_and_not_before_and_never_while_an_order_is_open():
    made = a_range()
    order, marks = packed(made, customer="Heron Ebb")
    ship(order, marks)
    an_order((made.tray, made.rust, 1), customer="Knot Shallows")

    assert forget_names(LiveStudio(), now=A_YEAR_ON) == 0
    StudioSettings.objects.update_or_create(pk=1, defaults={"forget_after_months": 12})
    assert forget_names(LiveStudio(), now=MONDAY + timedelta(days=364)) == 0
    assert forget_names(LiveStudio(), now=A_YEAR_ON) == 1
    assert forget_names(LiveStudio(), now=A_YEAR_ON) == 0

    assert set(Customer.objects.values_list("name", flat=True)) == {"name erased", "Knot Shallows"}
