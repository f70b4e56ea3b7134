"""How long a material takes to come."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.queries.lead_times import lead_times
from inventory.queries.running_out import LEAD_DAYS_UNKNOWN
from tests.factories.inventory import a_material, a_supplier

pytestmark = pytest.mark.django_db

FRIDAY = date(2026, 10, 9)


def weekdays(day: date) -> bool:
    return day.weekday() < 5


def test_the_suppliers_days_and_those_allowed_are_working_days(django_assert_num_queries) -> None:
    wax = a_material(supplier=a_supplier(lead_working_days=2), slack_days=1)

    with django_assert_num_queries(1):
        lead = lead_times()[wax.pk]

    assert (lead.name, lead.lead_days, lead.slack_days, lead.is_known) == (wax.name, 2, 1, True)
    assert lead.in_by(FRIDAY, weekdays) == date(2026, 10, 14)


def test_without_a_supplier_the_usual_days_are_reckoned_and_said() -> None:
    wax = a_material(slack_days=0)

    lead = lead_times()[wax.pk]

    assert (lead.lead_days, lead.is_known) == (LEAD_DAYS_UNKNOWN, False)


def test_where_nobody_is_ever_in_calendar_days_count() -> None:
    wax = a_material(slack_days=1)

    lead = lead_times()[wax.pk]

    assert lead.in_by(FRIDAY, lambda day: False) == date(2026, 10, 13)
