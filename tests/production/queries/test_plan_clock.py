"""Hours of hands as minutes of a plan."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from inventory.ports import OpenHours, StudioHours
from production.queries.plan_clock import PlanClock, plan_clock

HOUR = 60
MONDAY_8 = datetime(2026, 10, 5, 8, 0, tzinfo=UTC)


def clock(
    *rows: tuple[int, int, int, int],
    now: datetime = MONDAY_8,
    zone: str = "UTC",
    closed: tuple[date, ...] = (),
) -> PlanClock:
    """A clock with hours as (weekday, opens, closes, pairs)."""
    weekly = tuple(OpenHours(day, time(opens), time(closes), pairs) for day, opens, closes, pairs in rows)
    return plan_clock(now, StudioHours(ZoneInfo(zone), weekly, frozenset(closed)), [])


def first_day(found: PlanClock) -> list[tuple[int, int, int]]:
    return [(w.start // HOUR, w.end // HOUR, w.pairs) for w in found.windows() if w.start < 1440]


def test_a_lunch_break_makes_two_windows() -> None:
    assert first_day(clock((0, 8, 12, 1), (0, 13, 17, 2))) == [(8, 12, 1), (13, 17, 2)]


def test_hours_that_meet_with_as_many_hands_are_one_window() -> None:
    assert first_day(clock((0, 8, 12, 1), (0, 12, 17, 1))) == [(8, 17, 1)]


def test_hours_that_overlap_add_up() -> None:
    assert first_day(clock((0, 8, 17, 1), (0, 10, 12, 1))) == [(8, 10, 1), (10, 12, 2), (12, 17, 1)]


def test_the_calendar_ends_at_least_six_weeks_from_now() -> None:
    found = clock((0, 8, 17, 1))

    assert found.minutes >= 42 * 1440
    assert max(window.end for window in found.windows()) <= found.minutes


def test_a_far_ship_by_day_makes_it_longer_and_half_a_year_is_the_most() -> None:
    hours = StudioHours(ZoneInfo("UTC"), (OpenHours(0, time(8), time(17), 1),), frozenset())

    near = plan_clock(MONDAY_8, hours, [date(2026, 12, 18)])
    far = plan_clock(MONDAY_8, hours, [date(2028, 1, 1)])

    assert near.minutes == (10 + 1 + 3) * 7 * 1440
    assert far.minutes == 26 * 7 * 1440
    assert far.ship_by(date(2028, 1, 1)) == far.minutes


def test_without_any_hours_there_is_no_window_and_a_day_ends_at_midnight() -> None:
    found = clock()

    assert found.windows() == ()
    assert found.ship_by(date(2026, 10, 6)) == 2 * 1440


def test_a_plan_made_in_the_evening_west_of_greenwich_begins_on_its_own_monday() -> None:
    """Sunday 23:00 in New York is Monday 03:00 UTC."""
    found = clock((0, 8, 17, 1), now=datetime(2026, 10, 5, 3, 0, tzinfo=UTC), zone="America/New_York")

    assert found.start.date() == date(2026, 9, 28)
    assert found.now_minute == 6 * 1440 + 23 * HOUR


def test_spring_takes_an_hour_out_of_its_sunday() -> None:
    """Europe/London springs forward on Sunday 28 March 2027, 01:00."""
    now = datetime(2027, 3, 22, 6, 0, tzinfo=UTC)
    found = clock((6, 0, 4, 1), (0, 8, 17, 1), now=now, zone="Europe/London")

    sunday = next(window for window in found.windows() if window.start == 6 * 1440)
    monday = next(window for window in found.windows() if window.start > sunday.start)
    assert sunday.end - sunday.start == 3 * HOUR
    assert monday.start == 7 * 1440 + 7 * HOUR
