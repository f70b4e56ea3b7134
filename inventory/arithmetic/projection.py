"""When a material runs out, and when to order it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.errors import StudioError

# Beyond this many steps back no day was ever a working day: the calendar passed in is shut for good.
_STEPS_MOST = 3660


class NoWorkingDay(StudioError):
    """The supplier's calendar has no working day in ten years; facts `before`."""


@dataclass(frozen=True)
class DayBalance:
    """One day: what was drawn and delivered on it, and what is left at its end, in thousandths.

    `balance` goes below zero by what is short.
    """

    day: date
    drawn: int
    delivered: int
    balance: int


@dataclass(frozen=True)
class Projection:
    """A material's balance day by day. The three days are None when they do not come within the horizon.

    `first_below` the first day that ends under the safety level; `first_empty` the first that ends with
    nothing; `first_short` the first whose draws cannot all be met.
    """

    days: tuple[DayBalance, ...]
    first_below: date | None
    first_empty: date | None
    first_short: date | None

    @property
    def least(self) -> int:
        """The lowest balance of the horizon, below zero by what is short."""
        return min(day.balance for day in self.days)


def project_balance(
    opening: int,
    draws: Iterable[tuple[date, int]],
    deliveries: Iterable[tuple[date, int]],
    safety_level: int,
    start: date,
    days: int,
) -> Projection:
    """Project a material's balance from `start` over `days` days: opening - planned draws + deliveries.

    Parameters: amounts in thousandths of the base unit, zero or more. Draws planned before `start` and not
    yet made, and deliveries overdue, count on the first day; those after the horizon are left out. A delivery
    counts on the day it is expected.

    Source: conservation of what is there.
    """
    if days < 1:
        raise ValueError("a projection has at least one day")
    drawn = _by_day(draws, start)
    delivered = _by_day(deliveries, start)
    balance = opening
    lines = []
    for offset in range(days):
        day = start + timedelta(days=offset)
        balance += delivered.get(day, 0) - drawn.get(day, 0)
        lines.append(DayBalance(day, drawn.get(day, 0), delivered.get(day, 0), balance))
    return Projection(
        days=tuple(lines),
        first_below=_first(lines, safety_level),
        first_empty=_first(lines, 1),
        first_short=_first(lines, 0),
    )


def _by_day(moves: Iterable[tuple[date, int]], start: date) -> dict[date, int]:
    sums: dict[date, int] = {}
    for day, amount in moves:
        if amount < 0:
            raise ValueError("draws and deliveries are zero or more")
        day = max(day, start)
        sums[day] = sums.get(day, 0) + amount
    return sums


def _first(lines: Sequence[DayBalance], level: int) -> date | None:
    return next((line.day for line in lines if line.balance < level), None)


def order_by_day(
    first_below: date,
    *,
    lead_days: int,
    slack_days: int = 0,
    is_working_day: Callable[[date], bool] | None = None,
) -> date:
    """Give the last day to order so that the delivery is there on `first_below`.

    Parameters: the supplier's `lead_days` and the `slack_days` allowed for a late carrier are counted in
    working days when `is_working_day` is given, else in calendar days; the answer is then a working day
    itself.

    Raises: NoWorkingDay when there is none in ten years before `first_below`.
    """
    if lead_days < 0 or slack_days < 0:
        raise ValueError("lead time and slack are zero or more days")
    if is_working_day is None:
        return first_below - timedelta(days=lead_days + slack_days)
    day = first_below
    left = lead_days + slack_days
    for _ in range(_STEPS_MOST):
        if left == 0 and is_working_day(day):
            return day
        day -= timedelta(days=1)
        if left and is_working_day(day):
            left -= 1
    raise NoWorkingDay("This calendar has no working day. Look at the days in.", before=first_below)


def in_by_day(
    ordered_on: date,
    *,
    lead_days: int,
    slack_days: int = 0,
    is_working_day: Callable[[date], bool] | None = None,
) -> date:
    """Give the day by which what is ordered on a day is there: `order_by_day` the other way round.

    Parameters: as there; an order on a day nobody works leaves on the next one that somebody does.

    Raises: NoWorkingDay when there is none in ten years after `ordered_on`.
    """
    if lead_days < 0 or slack_days < 0:
        raise ValueError("lead time and slack are zero or more days")
    if is_working_day is None:
        return ordered_on + timedelta(days=lead_days + slack_days)
    day = ordered_on
    left = lead_days + slack_days
    for _ in range(_STEPS_MOST):
        if is_working_day(day):
            if left == 0:
                return day
            left -= 1
        day += timedelta(days=1)
    raise NoWorkingDay("This calendar has no working day. Look at the days in.", after=ordered_on)
