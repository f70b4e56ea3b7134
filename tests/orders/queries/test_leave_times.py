"""When a parcel leaves on its day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from orders.queries.leave_times import leaves_at
from tests.orders.operations.test_shipping import HOURS


def test_a_parcel_leaves_when_the_studio_closes():
    assert leaves_at(HOURS, date(2026, 10, 9)) == datetime(2026, 10, 9, 16, 0, tzinfo=UTC)
    # After the clocks went back on 25 October the same wall time is an hour later in UTC.
    assert leaves_at(HOURS, date(2026, 10, 26)) == datetime(2026, 10, 26, 17, 0, tzinfo=UTC)


def test_on_a_day_without_hands_it_leaves_the_last_time_before():
    assert leaves_at(HOURS, date(2026, 10, 11)) == leaves_at(HOURS, date(2026, 10, 9))
    closed = replace(HOURS, closed_days=frozenset({date(2026, 10, 9)}))
    assert leaves_at(closed, date(2026, 10, 9)) == leaves_at(HOURS, date(2026, 10, 8))


def test_without_any_hours_it_is_the_end_of_the_day():
    nobody = replace(HOURS, weekly=())

    assert leaves_at(nobody, date(2026, 10, 9)) == datetime(2026, 10, 9, 23, 0, tzinfo=UTC)
