"""The studio's hours as minutes of a plan: the one place where wall-clock hours and the planner meet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from inventory.ports import OpenHours, StudioHours
from production.planning.calendar import minute_of, plan_start
from production.planning.problem import Window

LEAST_WEEKS = 6
WEEKS_AFTER_LAST_SHIP_BY = 3
MOST_WEEKS = 26
DAYS_TO_LOOK_BACK = 28


@dataclass(frozen=True)
class PlanClock:
    """Minutes of one plan. `start` is its minute 0, `now` the aware instant before which nothing is planned,
    `minutes` the length of its calendar."""

    start: datetime
    now: datetime
    minutes: int
    hours: StudioHours

    def minute(self, instant: datetime) -> int:
        """The minute of an instant, a begun one counted as over: nothing may happen before it."""
        return -minute_of(self.start, instant)

    @property
    def now_minute(self) -> int:
        """The first whole minute that lies ahead."""
        return self.minute(self.now)

    def windows(self) -> tuple[Window, ...]:
        """The hours with hands in from now to the end of the calendar, in order, none overlapping."""
        found = []
        for offset in range(self.minutes // 1440 + 1):
            day = self.start.date() + timedelta(days=offset)
            for start, end, pairs in _stretches(self._on(day)):
                first = max(self.now_minute, self._wall_minute(day, start))
                last = min(self.minutes, self._wall_minute(day, end))
                if first < last:
                    found.append(Window(first, last, pairs))
        return tuple(found)

    def ship_by(self, day: date) -> int:
        """The last minute to have something packed that leaves on a day.

        It is that day's closing time, or the last one before it where nobody is in. A day beyond the calendar
        counts as the calendar's end.
        """
        for back in range(DAYS_TO_LOOK_BACK):
            open_day = day - timedelta(days=back)
            closes = [hours.closes for hours in self._on(open_day)]
            if closes:
                return min(self.minutes, self._wall_minute(open_day, max(closes)))
        return min(self.minutes, self._wall_minute(day + timedelta(days=1), time()))

    def closing_of(self, day: date) -> int:
        """When hands go home on a day, or its midnight if nobody is in: a delivery is there by then."""
        closes = [hours.closes for hours in self._on(day)]
        return self._wall_minute(day, max(closes)) if closes else self._wall_minute(day, time())

    def _on(self, day: date) -> list[OpenHours]:
        if day in self.hours.closed_days:
            return []
        return [hours for hours in self.hours.weekly if hours.weekday == day.weekday() and hours.pairs > 0]

    def _wall_minute(self, day: date, at: time) -> int:
        return minute_of(datetime.combine(day, at, tzinfo=self.start.tzinfo), self.start)


def plan_clock(now: datetime, hours: StudioHours, ship_by_days: Iterable[date]) -> PlanClock:
    """The clock of a plan made at `now`: from this week's Monday, six weeks ahead or three past the last
    ship-by day, 26 weeks at most."""
    today = now.astimezone(hours.zone).date()
    start = plan_start(today, hours.zone)
    last = max(ship_by_days, default=today)
    weeks = max(LEAST_WEEKS + 1, (last - start.date()).days // 7 + 1 + WEEKS_AFTER_LAST_SHIP_BY)
    ends_on = start.date() + timedelta(weeks=min(weeks, MOST_WEEKS))
    minutes = minute_of(datetime.combine(ends_on, time(), tzinfo=hours.zone), start)
    return PlanClock(start, now, minutes, hours)


def _stretches(rows: list[OpenHours]) -> list[tuple[time, time, int]]:
    """Hours of one day cut where hands come and go, so that rows that overlap add up."""
    edges = sorted({edge for row in rows for edge in (row.opens, row.closes)})
    found: list[tuple[time, time, int]] = []
    for start, end in zip(edges, edges[1:], strict=False):
        pairs = sum(row.pairs for row in rows if row.opens <= start and end <= row.closes)
        if pairs and found and found[-1][1:] == (start, pairs):
            found[-1] = (found[-1][0], end, pairs)
        elif pairs:
            found.append((start, end, pairs))
    return found
