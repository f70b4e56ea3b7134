from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from inventory.drawings.wall_clock import clock_words, day_words, span_words, wall_minutes

LONDON = ZoneInfo("Europe/London")


def test_a_day_is_written_with_its_weekday_and_number() -> None:
    # 6 October 2026 is a Tuesday (calendar)
    assert day_words(date(2026, 10, 6)) == "Tue 6"


def test_a_minute_of_any_day_is_written_as_its_time_of_day() -> None:
    assert [clock_words(571), clock_words(1440 + 7.9), clock_words(-60)] == ["09:31", "00:07", "23:00"]


def test_wall_minutes_count_from_midnight_of_the_first_day_and_backwards_too() -> None:
    first = date(2026, 10, 5)

    assert wall_minutes(datetime(2026, 10, 6, 9, 31, 30, tzinfo=LONDON), first) == 1440 + 571.5
    assert wall_minutes(datetime(2026, 10, 4, 23, 0, tzinfo=LONDON), first) == -60


def test_the_night_the_clocks_go_back_is_still_a_day_of_1440_minutes() -> None:
    # British summer time ended on 25 October 2026 at 01:00 UTC (IANA time zone database, Europe/London)
    later = datetime(2026, 10, 26, 12, 0, tzinfo=UTC).astimezone(LONDON)

    assert wall_minutes(later, date(2026, 10, 25)) == 1440 + 720


def test_spans_are_said_in_days_and_whole_hours_and_short_ones_in_minutes() -> None:
    assert span_words(3 * 1440 + 110) == "3 d 1 h"
    assert span_words(2 * 1440 + 59) == "2 d"
    assert span_words(120) == "2 h"
    assert span_words(40.9) == "40 min"
