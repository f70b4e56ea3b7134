"""Quiet hours and the daily hour, over midnight and over clock changes.

Europe/London goes on at 01:00 UTC on 29 March 2026 and back at 01:00 UTC on 25 October 2026.
Source: IANA time zone database.
"""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from shopfloor.notices.mail_times import is_due, is_quiet, last_digest

LONDON = ZoneInfo("Europe/London")
NIGHT = {"quiet_from": time(22), "quiet_until": time(7)}


def utc(month, day, hour, minute=0):
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("clock", "quiet_from", "quiet_until", "quiet"),
    [
        (time(21, 59), time(22), time(7), False),
        (time(22), time(22), time(7), True),
        (time(3), time(22), time(7), True),
        (time(6, 59), time(22), time(7), True),
        (time(7), time(22), time(7), False),
        (time(12, 30), time(12), time(13), True),
        (time(13), time(12), time(13), False),
        (time(3), None, None, False),
    ],
)
def test_quiet_hours_may_go_over_midnight(clock, quiet_from, quiet_until, quiet):
    assert is_quiet(clock, quiet_from, quiet_until) is quiet


@pytest.mark.parametrize(
    ("now", "at", "moment"),
    [
        pytest.param(utc(7, 1, 6, 0), time(7), utc(7, 1, 6), id="to the minute, in summer time"),
        pytest.param(utc(7, 1, 5, 59), time(7), utc(6, 30, 6), id="a minute before: the day before"),
        pytest.param(utc(3, 29, 7), time(7), utc(3, 29, 6), id="the day the clock goes on"),
        pytest.param(utc(3, 29, 2), time(1, 30), utc(3, 29, 1, 30), id="at an hour that is left out"),
        pytest.param(utc(10, 25, 2), time(1, 30), utc(10, 25, 0, 30), id="at an hour that comes twice"),
        pytest.param(utc(10, 25, 8), time(7), utc(10, 25, 7), id="the day it goes back"),
    ],
)
def test_the_daily_one_goes_once_a_day_by_the_wall_clock(now, at, moment):
    assert last_digest(now, at, LONDON) == moment


def test_what_comes_in_the_quiet_hours_waits_for_their_end():
    came = utc(10, 24, 23)
    given = {"at_once": True, "made_at": came, "digest_at": time(8), "zone": LONDON, **NIGHT}

    # 07:00 on the wall clock of the morning after is 07:00 UTC again.
    assert not is_due(now=utc(10, 25, 6, 59), **given)
    assert is_due(now=utc(10, 25, 7), **given)


def test_the_daily_one_is_made_up_for_after_days_of_power_off_and_has_what_came_before_it():
    given = {"at_once": False, "digest_at": time(8), "zone": LONDON, **NIGHT}
    before, after = utc(10, 5, 6), utc(10, 5, 8)

    assert not is_due(made_at=before, now=utc(10, 5, 6, 59), **given)
    assert is_due(made_at=before, now=utc(10, 5, 7), **given)
    assert not is_due(made_at=after, now=utc(10, 5, 20), **given)
    assert is_due(made_at=after, now=utc(10, 5, 8) + timedelta(days=3, hours=6), **given)
