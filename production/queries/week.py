"""The Week: groups by the day they leave with their strips, the load of each day, what is late and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from production.models import PlannedCast, PlannedLine
from production.queries.late_looks import LateLookRead, late_look_of
from production.queries.late_words import WhyLate, counted_demand, late_statement, why_late
from production.queries.mix_rows import MixRow, mix_rows
from production.queries.not_ordered import Lacking, lacking_words
from production.queries.plan_age import learnt_for, why_old
from production.queries.plan_steps import steps_of_routes
from production.queries.plan_words import ended_words, proven_words
from production.queries.plans import (
    MARKET,
    ORDER,
    SHELF,
    HasLeft,
    MixAhead,
    MixMade,
    PlanRead,
    cannot_be_made,
    is_late,
    kind_of,
    plan_read,
)
from production.queries.strips import Strip, made_strip, planned_strip
from production.queries.waiting import StepFacts
from production.queries.wording import listed

Local = Callable[[datetime], datetime]

LEAST_DAYS, MOST_DAYS = 13, 20
PANELS_MOST = 12


@dataclass(frozen=True)
class DayLoad:
    """What one day asks for: minutes of hands, and powder to mix in mg."""

    hands_minutes: int
    powder_mg: int


@dataclass(frozen=True)
class Group:
    """What leaves on one day: orders, or one market day, or shelf stock (`leaves_on` None)."""

    kind: str
    leaves_on: date | None
    labels: tuple[str, ...]
    strips: tuple[Strip, ...]
    late: tuple[WhyLate, ...]
    more_late: int

    @property
    def is_late(self) -> bool:
        """Whether something of it leaves late."""
        return bool(self.late)

    @property
    def for_words(self) -> str:
        """Who waits for it: order numbers, or the market day's name."""
        return "" if self.kind == SHELF else ", ".join(self.labels)


@dataclass(frozen=True)
class CannotMake:
    """What no plan can pour: whose, what, and the sentence that says why."""

    label: str
    what: str
    sentence: str


@dataclass(frozen=True)
class WeekNow:
    """Everything on the Week. `loads` by local day; `stale` says why the plan is old, "" while it is not.

    `proven` says what no plan can beat, and `ended` what to know of the search; "" where nothing.
    `learnt` are the times that were seen at the bench and that the plan reckons with since lately.
    `is_looked_into`: whether all that is late was looked into (True where nothing is).
    """

    plan_id: int
    statement: str
    quiet: str
    proven: str
    ended: str
    is_looked_into: bool
    planned_at: datetime
    stale: str
    learnt: tuple[str, ...]
    first_day: date
    days: int
    loads: Mapping[date, DayLoad]
    groups: tuple[Group, ...]
    cannot: tuple[CannotMake, ...]
    lacking: tuple[Lacking, ...]
    mixes: tuple[MixRow, ...]


def week_now(*, now: datetime, local: Local, has_left: HasLeft) -> WeekNow | None:
    """The Week at this moment, None before the first plan. 26 queries at most, however much is planned.

    Groups that leave late come first, then by day, market days and shelf stock last. `has_left` answers which
    of these demands nobody waits for any more.
    """
    read = plan_read(now=now, has_left=has_left)
    if read is None:
        return None
    today = local(now).date()
    routes = steps_of_routes({line.article.route_id for line in read.lines})
    is_late_at_all = any(is_late(line) for line in read.lines if not cannot_be_made(line))
    look = late_look_of(read.plan)
    groups = _groups(read, routes, now, look)
    first_day = today - timedelta(days=today.weekday())
    orders = {line.label for line in read.lines if kind_of(line) == ORDER}
    markets = {line.label for line in read.lines if kind_of(line) == MARKET}
    return WeekNow(
        plan_id=read.plan.pk,
        statement=_statement(read),
        quiet=f"{counted_demand(len(orders), len(markets))}, planned back from the day they leave.",
        proven=proven_words(read.plan, sum(is_late(line) for line in read.lines)),
        ended=ended_words(read.plan),
        is_looked_into=not is_late_at_all or (look is not None and look.is_whole),
        planned_at=read.plan.adopted_at,
        stale=why_old(read.plan, ((one.number, one.planned.starts_at) for one in read.ahead), now=now),
        learnt=learnt_for(read.plan),
        first_day=first_day,
        days=_days(groups, first_day),
        loads=_loads(read, local),
        groups=groups,
        cannot=tuple(
            CannotMake(line.label, f"{line.quantity} {line.article} in {line.colour}", cannot_be_made(line))
            for line in read.lines
            if cannot_be_made(line)
        ),
        lacking=lacking_words(read.plan.not_ordered, today),
        mixes=mix_rows(read.ahead),
    )


# Groups ------------------------------------------------------------------------------------------------

Key = tuple[str, date | None, str]


def _key(line: PlannedLine) -> Key:
    kind = kind_of(line)
    if kind == SHELF:
        return kind, None, ""
    return kind, line.ship_by, line.label if kind == MARKET else ""


def _groups(
    read: PlanRead, routes: Mapping[int, tuple[StepFacts, ...]], now: datetime, look: LateLookRead | None
) -> tuple[Group, ...]:
    lines: dict[Key, list[PlannedLine]] = defaultdict(list)
    for line in read.lines:
        if not cannot_be_made(line):
            lines[_key(line)].append(line)
    late = {key for key, found in lines.items() if any(is_late(line) for line in found)}
    order = (ORDER, MARKET, SHELF)
    in_order = sorted(
        lines, key=lambda key: (key not in late, order.index(key[0]), key[1] or date.max, key[2])
    )
    rank = {key: place for place, key in enumerate(in_order)}
    strips: dict[Key, list[Strip]] = defaultdict(list)
    line_of = {line.pk: line for line in read.lines}
    for ahead in read.ahead:
        key, strip = _planned(ahead, rank, line_of, routes)
        strips[key].append(strip)
    boards = _boards_in_the_making(read)
    for made in read.made:
        board = _take_board(made, boards)
        own = board or next(found for found in read.lines if found.wanted_by == made.first.wanted_by)
        key = _key(own)
        if key in lines and not (key[0] == SHELF and made.is_ready):
            strips[key].append(made_strip(made, board, routes[own.article.route_id], key[1], now))
    return tuple(_group(key, lines[key], strips[key], look) for key in in_order)


def _group(
    key: Key, lines: Sequence[PlannedLine], strips: Sequence[Strip], look: LateLookRead | None
) -> Group:
    kind, leaves_on, _ = key
    whys = _whys(lines, look)
    return Group(
        kind=kind,
        leaves_on=leaves_on,
        labels=tuple(dict.fromkeys(line.label for line in lines)),
        strips=tuple(sorted(strips, key=lambda strip: (strip.started_at, strip.number))),
        late=tuple(whys[:PANELS_MOST]),
        more_late=max(0, len(whys) - PANELS_MOST),
    )


def _whys(lines: Sequence[PlannedLine], look: LateLookRead | None) -> list[WhyLate]:
    by_demand: dict[str, list[PlannedLine]] = defaultdict(list)
    for line in lines:
        by_demand[line.wanted_by].append(line)
    return [
        why_late([line for line in found if is_late(line)], sum(line.quantity for line in found), look)
        for found in by_demand.values()
        if any(is_late(line) for line in found)
    ]


def _planned(
    ahead: MixAhead,
    rank: Mapping[Key, int],
    line_of: Mapping[int, PlannedLine],
    routes: Mapping[int, tuple[StepFacts, ...]],
) -> tuple[Key, Strip]:
    """A planned mix hangs in the first of the groups it is poured for; the others are named beside it."""
    casts: Sequence[PlannedCast] = ahead.casts
    lines = {cast.line_id: line_of[cast.line_id] for cast in casts}
    keys = sorted({_key(line) for line in lines.values()}, key=lambda key: rank[key])
    mine = [line for line in lines.values() if _key(line) == keys[0]]
    # The last one packed shows how long the mix needs; what is not placed at all says nothing of that.
    mine.sort(key=lambda line: (line.packed_at is None, line.packed_at and -line.packed_at.timestamp()))
    also = listed([_day_words(key) for key in keys[1:]])
    strip = planned_strip(ahead, casts, mine, routes[mine[0].article.route_id], keys[0][1], also)
    return keys[0], strip


def _day_words(key: Key) -> str:
    kind, day, label = key
    if kind == SHELF or day is None:
        return SHELF
    return label if kind == MARKET else f"{day:%a} {day.day}"


def _boards_in_the_making(read: PlanRead) -> dict[str, list[PlannedLine]]:
    """Boards that no mix ahead is poured for, by demand: what they wait for is in the making."""
    to_pour = {cast.line_id for ahead in read.ahead for cast in ahead.casts}
    found: dict[str, list[PlannedLine]] = defaultdict(list)
    for line in read.lines:
        if line.pk not in to_pour and not cannot_be_made(line):
            found[line.wanted_by].append(line)
    return found


def _take_board(made: MixMade, boards: dict[str, list[PlannedLine]]) -> PlannedLine | None:
    """The planned board of what a mix has become, taken out of `boards` while there are others.

    One that begins with its next step fits, best with as many pieces; boards come in the order of the mixes.
    """
    own = boards.get(made.first.wanted_by)
    if not own:
        return None
    step = made.pieces[0].next_step if made.pieces else None
    pieces = len(made.pieces) or len(made.casts)

    def fits(line: PlannedLine) -> tuple[bool, bool]:
        first = line.steps[0][0] if line.steps else ""
        return (step is not None and first != step.name, line.quantity != pieces)

    best = min(own, key=fits)
    if len(own) > 1:
        own.remove(best)
    return best


# Figures -----------------------------------------------------------------------------------------------


def _days(groups: Sequence[Group], first_day: date) -> int:
    last = max([group.leaves_on for group in groups if group.leaves_on] or [first_day])
    return min(MOST_DAYS, max(LEAST_DAYS, (last - first_day).days + 1))


def _loads(read: PlanRead, local: Local) -> dict[date, DayLoad]:
    hands: dict[date, int] = defaultdict(int)
    powder: dict[date, int] = defaultdict(int)
    for ahead in read.ahead:
        planned, casts = ahead.planned, ahead.casts
        day = local(planned.starts_at).date()
        pouring = (planned.poured_by - planned.starts_at) // timedelta(minutes=1)
        hands[day] += pouring + planned.compound.clean_up_minutes
        powder[day] += ahead.weighed.weights.powder_mg if ahead.weighed.weights else 0
        opening = sum(cast.mould.open_minutes * cast.quantity for cast in casts)
        hands[local(planned.opens_at).date()] += opening
    seen: set[int] = set()
    for made in read.made:
        mix = made.first.mix
        for cast in made.casts:
            mould = cast.mould_copy.mould
            hands[local(mix.started_at).date()] += mould.fill_minutes
            hands[local(made.out_at).date()] += mould.open_minutes
        if mix.pk not in seen:
            seen.add(mix.pk)
            day = local(mix.started_at).date()
            hands[day] += mix.compound.weigh_and_mix_minutes + mix.compound.clean_up_minutes
            powder[day] += mix.powder_mg
    for line in read.lines:
        for _, start, minutes in line.steps:
            hands[local(datetime.fromisoformat(start)).date()] += minutes
    return {day: DayLoad(hands[day], powder[day]) for day in {*hands, *powder}}


# Words -------------------------------------------------------------------------------------------------


def _statement(read: PlanRead) -> str:
    lines = [line for line in read.lines if not cannot_be_made(line)]
    if not read.lines:
        return "Nothing to pour"
    if not lines:
        return "Nothing of this can be made yet"
    return late_statement([line for line in lines if is_late(line)])
