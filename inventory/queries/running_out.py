"""What will run out, and the last day to order it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Sum

from inventory.arithmetic.order_quantity import reorder_point
from inventory.arithmetic.projection import (
    DayBalance,
    NoWorkingDay,
    Projection,
    order_by_day,
    project_balance,
)
from inventory.models import Holding, Material
from inventory.queries.deliveries import Expected, expected
from inventory.queries.pack_sizes import PackSizes, basket_words, pack_sizes
from inventory.queries.use import DailyUse, daily_use
from inventory.queries.wording import full_day, in_words, level_in_words, week_day

HORIZON_DAYS = 12
# Beyond the horizon the present rate of use is carried on, but a day further off than this says nothing.
FORESIGHT_DAYS = 45
DAYS_OF_A_YEAR = 366
USE_DAYS = 28
# Reckoned with when no supplier is noted, and said so.
LEAD_DAYS_UNKNOWN = 3


@dataclass(frozen=True)
class HeldInTub:
    """What one tub holds (thousandths), and the day it was opened."""

    code: str
    amount: int
    opened_on: date | None


@dataclass(frozen=True)
class RunningOut:
    """How long one material lasts. Amounts in thousandths of its unit.

    `flag` is what to do ("Order today", "Order by Wed 7 Oct", or nothing within the horizon), `line` why,
    `quiet` what else is good to know; `sentence` says all of it for a notice. `needed` brings it back to its
    level for as long as is looked ahead, zero where nothing is flagged; `mean_daily` is its present use.
    """

    material_id: int
    material: str
    kind: str
    unit: str
    held: int
    tubs: tuple[HeldInTub, ...]
    safety: int
    balances: tuple[DayBalance, ...]
    first_below_on: date | None
    order_by_on: date | None
    flag: str
    line: str
    quiet: str
    is_by_mean_use: bool
    draws: tuple[tuple[date, int], ...] = field(repr=False)
    needed: int = 0
    mean_daily: float = 0.0
    lead_days: int = 0
    coming: tuple[Expected, ...] = ()

    @property
    def sentence(self) -> str:
        """Name, what to do and why."""
        return f"{self.material}: " + " ".join(
            part for part in (f"{self.flag}." if self.flag else "", self.line, self.quiet) if part
        )


def running_out(
    today: date,
    planned_draws: Mapping[int, Sequence[tuple[date, int]]],
    is_working_day: Callable[[date], bool],
    days: int = HORIZON_DAYS,
) -> list[RunningOut]:
    """Every material in use with its balance over the next `days` days, the most pressing first.

    Parameters: `planned_draws` what the plan takes by material id (thousandths). When it is empty there is no
    plan, and the mean daily use of the last four weeks stands in, with the classic safety stock.
    Seven queries at most, however many materials.
    """
    materials = list(Material.objects.filter(retired_on__isnull=True).select_related("supplier"))
    tubs = _tubs_by_material()
    coming: dict[int, list[Expected]] = {}
    for delivery in expected():
        coming.setdefault(delivery.material_id, []).append(delivery)
    used = daily_use(today, USE_DAYS) if not planned_draws else {}
    sizes = pack_sizes()
    # Looked at once: else each material would look through ten years for a day that is not there.
    in_at_all = any(is_working_day(today + timedelta(days=ahead)) for ahead in range(DAYS_OF_A_YEAR))
    counted = is_working_day if in_at_all else None
    rows = [
        _row(
            material,
            tubs.get(material.pk, ()),
            planned_draws.get(material.pk, ()),
            coming.get(material.pk, ()),
            used.get(material.pk) if not planned_draws else None,
            sizes,
            today,
            days,
            counted,
        )
        for material in materials
    ]
    # Flagged ones by their last day to order; then what orders lie further off, then what just lasts.
    return sorted(rows, key=lambda row: (not row.flag, row.order_by_on or date.max, row.kind, row.material))


def standing(rows: Sequence[RunningOut]) -> str:
    """One sentence on how the stores stand."""
    flagged = [row for row in rows if row.flag]
    if not rows:
        return ""
    if not any(row.held for row in rows):
        return "Nothing is in the tubs yet"
    if not flagged:
        return f"Everything lasts past {week_day(rows[0].balances[-1].day)}"
    today = [row.material for row in flagged if row.flag == "Order today"]
    if len(today) == 1:
        return f"Order {today[0]} today"
    if today:
        return f"{len(today)} materials to order today"
    return f"{flagged[0].material}: {flagged[0].flag[0].lower()}{flagged[0].flag[1:]}"


def _row(
    material: Material,
    tubs: Sequence[HeldInTub],
    planned: Sequence[tuple[date, int]],
    coming: Sequence[Expected],
    use: DailyUse | None,
    sizes: PackSizes,
    today: date,
    days: int,
    is_working_day: Callable[[date], bool] | None,
) -> RunningOut:
    held = sum(tub.amount for tub in tubs)
    lead = material.supplier.lead_working_days if material.supplier else LEAD_DAYS_UNKNOWN
    safety = material.safety_level
    draws = list(planned)
    if use is not None:
        classic = reorder_point(use.mean, use.sd, lead + material.slack_days)
        safety = max(safety, math.ceil(classic.safety_stock))
        draws = [(today + timedelta(days=day), round(use.mean)) for day in range(days)]
    projection = project_balance(
        held, draws, [(delivery.on, delivery.amount) for delivery in coming], safety, today, days
    )
    mean = use.mean if use else sum(day.drawn for day in projection.days) / days
    below = projection.first_below or _below_later(projection, safety, mean)
    order_by = None
    if below:
        order_by = max(_last_day_to_order(below, lead, material.slack_days, is_working_day), today)
    flagged = projection.first_below is not None
    needed = max(0, safety - projection.least) if flagged else 0
    return RunningOut(
        material_id=material.pk,
        material=material.name,
        kind=material.kind,
        unit=material.unit,
        held=held,
        tubs=tuple(tubs),
        safety=safety,
        balances=projection.days,
        first_below_on=below,
        order_by_on=order_by,
        flag=_flag(order_by, today) if flagged and order_by else "",
        line=_line(material, projection, safety, lead, today),
        quiet=_quiet(
            material, basket_words(material, sizes, needed, mean), order_by, coming, tubs, today, flagged
        ),
        is_by_mean_use=use is not None,
        draws=tuple(draws),
        needed=needed,
        mean_daily=mean,
        lead_days=lead,
        coming=tuple(coming),
    )


def _last_day_to_order(
    below: date, lead_days: int, slack_days: int, is_working_day: Callable[[date], bool] | None
) -> date:
    try:
        return order_by_day(below, lead_days=lead_days, slack_days=slack_days, is_working_day=is_working_day)
    except NoWorkingDay:
        # Fewer than that many in ten years, as where no hours are noted: then every day counts.
        return order_by_day(below, lead_days=lead_days, slack_days=slack_days)


def _below_later(projection: Projection, safety: int, mean: float) -> date | None:
    """The day the level is passed after the horizon at the present rate of use, if it is within sight."""
    if mean <= 0:
        return None
    last = projection.days[-1]
    more_days = int((last.balance - safety) // mean) + 1
    return last.day + timedelta(days=more_days) if more_days <= FORESIGHT_DAYS else None


def _flag(order_by: date, today: date) -> str:
    return "Order today" if order_by <= today else f"Order by {week_day(order_by)}"


def _line(material: Material, projection: Projection, safety: int, lead: int, today: date) -> str:
    last = projection.days[-1].day
    if projection.first_below is None:
        if not projection.least and not any(day.drawn for day in projection.days):
            return "Nothing here, nothing planned."
        return f"Lasts past {week_day(last)}."
    level = level_in_words(safety, material.unit)
    when = "now" if projection.first_below == today else f"on {projection.first_below:%a} {_day(projection)}"
    below = f"Below {level} {when}." if safety else f"Gone {when}."
    takes = f"Takes {lead} working {'day' if lead == 1 else 'days'}"
    if material.supplier is None:
        return f"{below} No supplier is noted: {lead} working days are reckoned."
    if material.slack_days:
        return f"{below} {takes}, {material.slack_days} more allowed."
    return f"{below} {takes}."


def _day(projection: Projection) -> int:
    return projection.first_below.day if projection.first_below else 0


def _quiet(
    material: Material,
    how_much: str,
    order_by: date | None,
    coming: Sequence[Expected],
    tubs: Sequence[HeldInTub],
    today: date,
    flagged: bool,
) -> str:
    parts = []
    if flagged:
        parts.append(how_much)
    elif order_by is not None:
        parts.append(f"Order by {week_day(order_by)}.")
    for delivery in coming:
        late = ", not in yet" if delivery.on < today else ""
        parts.append(f"{in_words(delivery.amount, material.unit)} expected {week_day(delivery.on)}{late}.")
    opened = min((tub.opened_on for tub in tubs if tub.opened_on and tub.amount), default=None)
    if opened and material.opened_life_days and not flagged:
        parts.append(f"Use by {full_day(opened + timedelta(days=material.opened_life_days))}, once opened.")
    return " ".join(part for part in parts if part)


def _tubs_by_material() -> dict[int, list[HeldInTub]]:
    """What the tubs hold, working tubs first. One query."""
    rows = (
        Holding.objects.filter(amount__gt=0, place__container__isnull=False)
        .values_list(
            "place__container__material",
            "place__container__code",
            "place__container__opened_at",
            "place__container__role",
        )
        .annotate(held=Sum("amount"))
        .order_by("-place__container__role", "place__container__code")
    )
    tubs: dict[int, list[HeldInTub]] = {}
    for material_id, code, opened_at, _, held in rows:
        opened_on = opened_at.date() if opened_at else None
        tubs.setdefault(material_id, []).append(HeldInTub(code, held, opened_on))
    return tubs
