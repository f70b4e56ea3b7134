"""From what the Week found to the facts of its drawings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time

from inventory.drawings.shapes import Drawn, Picture
from inventory.drawings.wall_clock import wall_minutes
from inventory.ports import Studio, StudioHours
from production.drawings.day_ruler import RulerDay, drawn_day_ruler
from production.drawings.day_scale import WIDE, DayScale, drawn_days
from production.drawings.ebb import EbbFacts, EbbStep, drawn_ebb, ebb_kind, post_head, spare_words
from production.queries.strips import Strip, StripStep
from production.queries.week import Group, WeekNow

LEAVES_WHEN_CLOSED = 9 * 60


@dataclass(frozen=True)
class StripRow:
    """A strip with its drawing, its spare time in words, and where it is moved ("" once it is mixed)."""

    strip: Strip
    picture: Drawn
    spare: str
    move_address: str


@dataclass(frozen=True)
class GroupRows:
    """A group with the head that its strips hang from."""

    group: Group
    head: Picture | None
    rows: tuple[StripRow, ...]


class WeekPictures:
    """The drawings of one Week, all over the same days."""

    def __init__(self, week: WeekNow, studio: Studio, now: datetime) -> None:
        self.week, self.studio = week, studio
        self.hours = studio.hours
        self.days = drawn_days(week.first_day, week.days, lambda day: day_hours(self.hours, day))
        self.now = self.minute(now)

    def minute(self, at: datetime) -> float:
        """Wall-clock minutes since the first day drawn."""
        return wall_minutes(self.studio.local(at), self.week.first_day)

    def ruler(self) -> Drawn:
        """The days with hands used and powder to mix."""
        loads = []
        for day in self.days:
            load = self.week.loads.get(day.day)
            there = hands_minutes(self.hours, day.day)
            loads.append(
                RulerDay(load.hands_minutes, there, load.powder_mg) if load else RulerDay(0, there, 0)
            )
        return drawn_day_ruler(self.days, tuple(loads), self.now)

    def groups(self) -> tuple[GroupRows, ...]:
        """Every group with its strips drawn."""
        return tuple(
            GroupRows(group, self._head(group), tuple(self._row(group, strip) for strip in group.strips))
            for group in self.week.groups
        )

    def _head(self, group: Group) -> Picture | None:
        if group.leaves_on is None:
            return None
        scale = DayScale(self.days, WIDE, self.now)
        return post_head(self._leaves(group.leaves_on), group.for_words, scale)

    def _row(self, group: Group, strip: Strip) -> StripRow:
        facts = EbbFacts(
            name=f"Mix {strip.number}, {strip.what}, {strip.colour}",
            started=self.minute(strip.started_at),
            poured=self.minute(strip.poured_at),
            out=self.minute(strip.out_at),
            dry=self.minute(strip.dry_at),
            ready=self.minute(strip.ready_at),
            mixed=strip.is_mixed,
            colour_hex=strip.colour_hex,
            silhouette=strip.silhouette,
            tau=strip.tau_minutes,
            leaves=None if group.leaves_on is None else self._leaves(group.leaves_on),
            steps=tuple(self._step(step) for step in strip.steps),
        )
        move = "" if strip.planned_mix_id is None else self.studio.move_address(strip.planned_mix_id)
        return StripRow(strip, drawn_ebb(facts, self.days, self.now), spare_words(facts), move)

    def _step(self, step: StripStep) -> EbbStep:
        start, end = self.minute(step.start_at), self.minute(step.end_at)
        return EbbStep(ebb_kind(step.kind), start, end, step.is_done, step.name)

    def _leaves(self, day: date) -> float:
        """What leaves on a day leaves when the hands go home; on a day nobody is in, in the morning."""
        hours = day_hours(self.hours, day)
        return (day - self.week.first_day).days * 1440 + (hours[1] if hours else LEAVES_WHEN_CLOSED)


def day_hours(hours: StudioHours, day: date) -> tuple[float, float] | None:
    """Minutes after midnight at which the first hands come and the last go, None where nobody is in."""
    if not hours.is_working_day(day):
        return None
    rows = [row for row in hours.weekly if row.weekday == day.weekday()]
    return min(_minutes(row.opens) for row in rows), max(_minutes(row.closes) for row in rows)


def hands_minutes(hours: StudioHours, day: date) -> float:
    """Minutes of hands there are on a day, all pairs together."""
    if not hours.is_working_day(day):
        return 0
    rows = [row for row in hours.weekly if row.weekday == day.weekday()]
    return sum((_minutes(row.closes) - _minutes(row.opens)) * row.pairs for row in rows)


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
