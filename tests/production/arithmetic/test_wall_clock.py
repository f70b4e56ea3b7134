"""Times of day as people type them. Clock changes of Europe/London: IANA time zone database, 2026."""

from __future__ import annotations

from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest

from production.arithmetic.wall_clock import last_instant

LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("typed", "now", "meant"),
    [
        pytest.param("08:20", "2026-10-05 08:21", "2026-10-05 07:20", id="earlier today, in summer time"),
        pytest.param("23:50", "2026-10-05 23:10", "2026-10-05 22:50", id="ten past midnight: yesterday"),
        pytest.param("10:00", "2026-12-01 09:00", "2026-11-30 10:00", id="not yet today: yesterday"),
        pytest.param("01:30", "2026-10-25 03:00", "2026-10-25 01:30", id="shown twice: the second"),
        pytest.param("01:30", "2026-10-25 00:45", "2026-10-25 00:30", id="shown twice: only one has been"),
    ],
)
def test_the_last_time_the_clock_showed_it(typed, now, meant):
    found = last_instant(time.fromisoformat(typed), datetime.fromisoformat(now + "+00:00"), LONDON)

    assert found == datetime.fromisoformat(meant + "+00:00")


def test_a_time_the_clock_jumped_over_is_none():
    """On 29 March 2026 the clock goes from 00:59 to 02:00 by the wall."""
    now = datetime(2026, 3, 29, 9, 0, tzinfo=UTC)

    assert last_instant(time(1, 30), now, LONDON) is None
