from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.planning.calendar import WorkCalendar, instant_of, minute_of, plan_start, window_on
from production.planning.faults import ProblemFault
from production.planning.problem import Window
from tests.production.planning.builders import working_days

LONDON = ZoneInfo("Europe/London")
DAY = 1440


def test_a_task_goes_into_the_first_window_that_holds_all_of_it():
    calendar = WorkCalendar([Window(540, 600), Window(700, 800)])

    assert calendar.first_fit(0, 60) == 540
    assert calendar.first_fit(541, 60) == 700
    assert calendar.first_fit(570, 30) == 570
    assert calendar.first_fit(600, 1) == 700
    assert calendar.first_fit(0, 101) is None
    assert calendar.first_fit(800, 1) is None


def test_a_task_goes_into_the_last_window_that_ends_in_time():
    calendar = WorkCalendar([Window(540, 600), Window(700, 800)])

    assert calendar.last_fit(1000, 60) == 740
    assert calendar.last_fit(750, 60) == 540
    assert calendar.last_fit(590, 60) is None
    assert calendar.last_fit(760, 60) == 700
    assert calendar.last_fit(10**6, 101) is None


def test_a_window_without_hands_holds_nothing():
    calendar = WorkCalendar([Window(0, 100, 0), Window(200, 300, 1)])

    assert calendar.first_fit(0, 10) == 200


@given(st.integers(0, 12 * DAY), st.integers(0, 500))
def test_first_and_last_fit_are_what_trying_every_minute_finds(minute, duration):
    windows = [(540, 750), (795, 1020), (DAY + 540, DAY + 1020), (5 * DAY + 600, 5 * DAY + 700)]
    calendar = WorkCalendar([Window(start, end) for start, end in windows])
    fitting = [s for start, end in windows for s in range(start, end - duration + 1)]

    assert calendar.first_fit(minute, duration) == min((s for s in fitting if s >= minute), default=None)
    assert calendar.last_fit(minute, duration) == max(
        (s for s in fitting if s + duration <= minute), default=None
    )


def test_before_the_first_window_weeks_count_as_alike():
    calendar = WorkCalendar(window for window in working_days(28) if window.start // DAY % 7 < 5)

    # The Friday evening before a plan that begins on Monday.
    assert calendar.last_fit_or_before(300, 60) == -3 * DAY + 1020 - 60
    assert calendar.last_fit_or_before(-10 * DAY, 60) == -10 * DAY - DAY + 1020 - 60
    assert calendar.last_fit_or_before(2 * DAY, 60) == calendar.last_fit(2 * DAY, 60)


def test_without_windows_a_task_ends_when_it_must():
    assert WorkCalendar([]).last_fit_or_before(100, 60) == 40


def test_working_time_between_two_minutes_leaves_out_the_night():
    calendar = WorkCalendar(working_days(2))

    assert calendar.open_parts(900, DAY + 600) == [(900, 1020), (DAY + 540, DAY + 600)]


def test_a_plan_starts_on_its_weeks_monday_at_midnight_local_time():
    start = plan_start(date(2026, 3, 29), LONDON)

    assert start == datetime(2026, 3, 23, tzinfo=LONDON)
    assert start.weekday() == 0


def test_twenty_four_hours_from_noon_end_at_one_after_the_clocks_went_forward():
    """24 h from 2026-03-28 12:00 London end at 13:00 next day (zone rules; check value 7.dst)."""
    start = plan_start(date(2026, 3, 28), LONDON)
    noon = minute_of(datetime(2026, 3, 28, 12, tzinfo=LONDON), start)

    assert instant_of(noon + 24 * 60, start) == datetime(2026, 3, 29, 13, tzinfo=LONDON)
    assert instant_of(noon + 24 * 60, start).hour == 13


@pytest.mark.parametrize(
    ("monday", "change"), [(date(2026, 3, 23), -60), (date(2026, 10, 19), 60), (date(2026, 6, 1), 0)]
)
def test_a_week_with_a_clock_change_is_an_hour_shorter_or_longer(monday, change):
    """London changes its clocks on 29 March and 25 October 2026 (zone rules)."""
    start = plan_start(monday, LONDON)
    next_monday = datetime.combine(monday + timedelta(days=7), time(), tzinfo=LONDON)
    opens = window_on(next_monday.date(), time(9), time(17), 2, start)

    assert (opens.start, opens.end, opens.pairs) == (7 * DAY + 540 + change, 7 * DAY + 1020 + change, 2)


def test_a_window_across_the_change_lasts_as_long_as_it_really_lasts():
    start = plan_start(date(2026, 3, 29), LONDON)

    night = window_on(date(2026, 3, 29), time(0, 30), time(4), 1, start)

    assert night.end - night.start == 150


@given(st.integers(-500_000, 500_000))
def test_minutes_become_instants_and_minutes_again(minute):
    start = plan_start(date(2026, 3, 29), LONDON)

    assert minute_of(instant_of(minute, start), start) == minute
    assert minute_of(instant_of(minute, start).astimezone(UTC), start) == minute


def test_a_time_without_a_zone_is_refused():
    start = plan_start(date(2026, 3, 29), LONDON)

    with pytest.raises(ProblemFault, match="instant must be a time with a zone"):
        minute_of(datetime(2026, 3, 29, 9), start)  # noqa: DTZ001
    with pytest.raises(ProblemFault, match="start must be a time with a zone"):
        instant_of(0, datetime(2026, 3, 29))  # noqa: DTZ001


def test_a_window_closes_at_its_end_and_none_is_open_outside():
    calendar = WorkCalendar([Window(540, 600), Window(700, 800)])

    assert calendar.closing_at(540) == calendar.closing_at(599) == 600
    assert calendar.closing_at(700) == 800
    assert calendar.closing_at(650) == 650
    assert calendar.closing_at(10) == 10
