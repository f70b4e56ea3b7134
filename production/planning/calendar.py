"""Working windows, and the one place where local time becomes minutes.

Inside the planner a minute is a minute: durations never meet a clock change. Zones are
used here only, at the edge: an aware instant becomes minutes after the plan's start by
subtraction in UTC, so a week with a clock change has 60 minutes more or less.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from production.planning.faults import refuse
from production.planning.problem import Window

DAY = 1440
WEEK = 7 * DAY


class WorkCalendar:
    """Answers where a hands-on task of a given length fits first or last."""

    def __init__(self, windows: Iterable[Window]) -> None:
        self.windows = tuple(window for window in windows if window.pairs > 0)
        self._starts = [window.start for window in self.windows]
        self._ends = [window.end for window in self.windows]
        self.longest_minutes = max((window.end - window.start for window in self.windows), default=0)

    def first_fit(self, minute: int, duration: int) -> int | None:
        """Earliest start at or after `minute` with `duration` minutes inside one window, or None."""
        for index in range(bisect_right(self._ends, minute - 1), len(self.windows)):
            window = self.windows[index]
            start = max(minute, window.start)
            if start + duration <= window.end:
                return start
        return None

    def last_fit(self, minute: int, duration: int) -> int | None:
        """Latest start with `duration` minutes inside one window that end by `minute`, or None."""
        for index in range(bisect_left(self._starts, minute + 1) - 1, -1, -1):
            window = self.windows[index]
            start = min(minute, window.end) - duration
            if start >= window.start:
                return start
        return None

    def last_fit_or_before(self, minute: int, duration: int) -> int:
        """Latest start as by `last_fit`, before the first window as if weeks had been alike.

        The answer can be negative: a pour that should have been made before the plan starts.
        """
        start = self.last_fit(minute, duration)
        if start is not None:
            return start
        if not self.windows or duration > self.longest_minutes:
            return minute - duration
        # A week that is full, later in the calendar, stands for the weeks before it.
        weeks = (max(0, self.windows[0].start + WEEK - minute) + WEEK - 1) // WEEK
        shifted = self.last_fit(minute + weeks * WEEK, duration)
        while shifted is None:
            weeks += 1
            shifted = self.last_fit(minute + weeks * WEEK, duration)
        return min(shifted - weeks * WEEK, minute - duration)

    def is_open(self, minute: int) -> bool:
        """Whether hands work at this minute."""
        index = bisect_right(self._starts, minute) - 1
        return index >= 0 and minute < self._ends[index]

    def closing_at(self, minute: int) -> int:
        """When the window closes that is open at a minute; the minute itself where none is."""
        index = bisect_right(self._starts, minute) - 1
        return max(minute, self._ends[index]) if index >= 0 else minute

    def open_parts(self, start: int, end: int) -> list[tuple[int, int]]:
        """The stretches of working time between two minutes."""
        parts = []
        for index in range(bisect_right(self._ends, start), len(self.windows)):
            window = self.windows[index]
            if window.start >= end:
                break
            parts.append((max(start, window.start), min(end, window.end)))
        return parts


def plan_start(day: date, zone: tzinfo) -> datetime:
    """Start of a plan that is to hold `day`: that week's Monday, 00:00 local time, aware."""
    return datetime.combine(day - timedelta(days=day.weekday()), time(), tzinfo=zone)


def minute_of(instant: datetime, start: datetime) -> int:
    """Whole minutes that really pass from `start` to `instant`, both aware; rounded down.

    Raises
    ------
    ProblemFault
        When either has no zone.
    """
    for name, moment in (("instant", instant), ("start", start)):
        if moment.tzinfo is None:
            refuse(name, moment.isoformat(), "a time with a zone")
    # In UTC: subtracting two times of one zone would count by the clock on the wall.
    return (instant.astimezone(UTC) - start.astimezone(UTC)) // timedelta(minutes=1)


def instant_of(minute: int, start: datetime) -> datetime:
    """The aware instant `minute` minutes after `start`, in the zone of `start`."""
    if start.tzinfo is None:
        refuse("start", start.isoformat(), "a time with a zone")
    return (start.astimezone(UTC) + timedelta(minutes=minute)).astimezone(start.tzinfo)


def window_on(day: date, opens: time, closes: time, pairs: int, start: datetime) -> Window:
    """The working window from `opens` to `closes` by the clock on the wall on `day`.

    A time that the clock change leaves out counts as the hour after it, one that comes
    twice as the first of the two.

    Raises
    ------
    ProblemFault
        When it does not close after it opens, or begins before the plan's start.
    """
    first = minute_of(datetime.combine(day, opens, tzinfo=start.tzinfo), start)
    last = minute_of(datetime.combine(day, closes, tzinfo=start.tzinfo), start)
    return Window(first, last, pairs)
