"""The clock that matters on every page: the mix that sets, or what comes out of its mould next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from production.queries.out_of_mould import casts_to_judge, moulds_due
from production.queries.progress import planned_mixes_ahead
from production.queries.setting import mixes_setting
from production.queries.wording import day_clock


@dataclass(frozen=True)
class Running:
    """A line, the instant it counts down to (None: no clock), what follows the clock, and what is next."""

    line: str
    until: datetime | None
    after: str
    then: str


def running_now(*, now: datetime) -> Running:
    """The running clock. Five queries at most, however long the history."""
    setting = mixes_setting()
    due = [one for one in moulds_due() if not one.is_about]
    then = f"next out of the mould {day_clock(due[0].due_at, now)}" if due else ""
    if setting:
        after = "to work" if now < setting[0].stiff_at else "over"
        return Running(f"Mix {setting[0].number}", setting[0].stiff_at, after, then)
    waiting = casts_to_judge()
    if waiting:
        return Running(f"Mix {waiting[0].number}: {waiting[0].waiting} to look at", None, "", then)
    if not then:
        ahead = planned_mixes_ahead()
        then = f"next mix about {day_clock(ahead[0].starts_at, now)}" if ahead else ""
    return Running("Nothing setting in the jug", None, "", then)
