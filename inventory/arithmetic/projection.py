"""When a material runs out, when to order it, and how much."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import NormalDist

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


@dataclass(frozen=True)
class ReorderPoint:
    """The classic reorder point: `level` and `safety_stock` in the unit of the use given, with factor `z`."""

    z: float
    safety_stock: float
    level: float

    @property
    def order_at(self) -> int:
        """The reorder point in whole units, rounded up."""
        return math.ceil(self.level)


def reorder_point(
    mean_daily: float, sd_daily: float, lead_days: float, service: float = 0.95
) -> ReorderPoint:
    """Give the level at which to order where there is no plan: use over the lead time plus safety stock.

    Parameters: mean and standard deviation of the use per day (any unit, also thousandths); lead time in
    days; `service` the wished probability of not running out during the lead time, above 0.5 and below 1.

    Source: d L + z s sqrt(L), e.g. Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed. 2019, ch. 4-5.
    """
    if not 0.5 <= service < 1:
        raise ValueError("service is a probability from 0.5 up to below 1")
    if min(mean_daily, sd_daily, lead_days) < 0:
        raise ValueError("use and lead time are zero or more")
    z = NormalDist().inv_cdf(service)
    safety_stock = z * sd_daily * math.sqrt(lead_days)
    return ReorderPoint(z=z, safety_stock=safety_stock, level=mean_daily * lead_days + safety_stock)


@dataclass(frozen=True)
class Pack:
    """One size a supplier sells: amount in thousandths of the base unit, price in minor units."""

    amount: int
    price_minor: int
    name: str = ""


@dataclass(frozen=True)
class PackOffer:
    """One way to buy: so many of one pack.

    `price_per_thousand_minor` minor units for a thousand base units (price per kg, per litre, per 1000
    pieces); `days_one_pack_lasts` at the present use, None when nothing is used; `outlives_opened_life` when
    that is longer than an opened pack keeps.
    """

    pack: Pack
    count: int
    amount: int
    price_minor: int
    price_per_thousand_minor: float
    days_one_pack_lasts: float | None
    outlives_opened_life: bool


def suggested_packs(
    needed: int,
    packs: Sequence[Pack],
    *,
    mean_daily: float = 0.0,
    opened_life_days: int | None = None,
) -> list[PackOffer]:
    """Give how many of each pack size cover `needed`, the best to buy first.

    Best first: packs that are used up while they keep, then the lower price altogether, then the less left
    over. Amounts in thousandths of the base unit; `mean_daily` use per day in the same; `opened_life_days`
    None when the material keeps once opened. Empty when nothing is needed.
    """
    if needed <= 0:
        return []
    offers = [_offer(needed, pack, mean_daily, opened_life_days) for pack in packs]
    return sorted(
        offers,
        key=lambda offer: (offer.outlives_opened_life, offer.price_minor, offer.amount, offer.pack.amount),
    )


def _offer(needed: int, pack: Pack, mean_daily: float, opened_life_days: int | None) -> PackOffer:
    if pack.amount <= 0:
        raise ValueError("a pack holds something")
    count = -(-needed // pack.amount)
    lasts = pack.amount / mean_daily if mean_daily > 0 else None
    outlives = opened_life_days is not None and (lasts is None or lasts > opened_life_days)
    return PackOffer(
        pack=pack,
        count=count,
        amount=count * pack.amount,
        price_minor=count * pack.price_minor,
        price_per_thousand_minor=pack.price_minor * 1_000_000 / pack.amount,
        days_one_pack_lasts=lasts,
        outlives_opened_life=outlives,
    )
