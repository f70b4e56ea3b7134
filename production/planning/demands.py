"""What must be done from when to when: hands-on minutes and casts of all lines, by how late each line may be.

A *demand* is an amount that cannot begin before one working window and, if its line is no later than some
days, must end by another. Whatever plan there is, the demands that lie between two windows fit into what
those windows have: hours of hands, turns of a mould. Everything here is true of every plan.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, takewhile

from production.planning.calendar import WorkCalendar
from production.planning.forward import earliest_dry, earliest_packed
from production.planning.mix_shares import shares_of_mix
from production.planning.prepare import Prepared
from production.planning.solution import DAY
from production.planning.turns import Earliest, late_points
from production.planning.windows_facts import latest_ends

# Lateness is told apart by the day up to so many, then by the week; beyond all of them nothing is asked.
BY_DAY, BY_WEEK = 28, 8
# No window of the calendar: before the first.
NONE = -1


@dataclass(frozen=True, slots=True)
class Lateness:
    """How late a line can be: `days[0]` at least, and what each step up to `days[n]` adds in points.

    Between two of the days nothing that must be done gets more time.
    """

    days: tuple[int, ...]
    adds: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Demand:
    """An amount for a line from window `first` on; by window `last[n]` unless it is `days[n + 1]` late."""

    line: int
    first: int
    amount: float
    last: tuple[int, ...]
    jug: int = NONE
    mixes: float = 0.0


@dataclass(frozen=True, slots=True)
class Limit:
    """Demands, and by first and last window what there is room for; `hands` or a mould."""

    demands: Sequence[Demand]
    room: Sequence[Sequence[float]]
    hands: bool = False


@dataclass(slots=True)
class Demands:
    """Everything that is asked of hands and moulds, by line how late it can be, and the windows looked at."""

    prepared: Prepared
    earliest: Earliest
    windows: int = 0
    lateness: dict[int, Lateness] = field(default_factory=dict)
    limits: list[Limit] = field(default_factory=list)


def demands_of(earliest: Earliest) -> Demands:
    """The demands of a problem; lines that no plan can pack ask for nothing."""
    prepared = earliest.prepared
    found = Demands(prepared, earliest)
    last_due = max((line.ship_by for line in prepared.problem.lines), default=0)
    until = last_due + (BY_DAY + 7) * DAY
    found.windows = bisect_right([window.start for window in prepared.calendar.windows], until)
    shares = {
        stream: share
        for jug in range(len(prepared.jugs))
        for stream, share in shares_of_mix(prepared, jug).items()
    }
    hands: list[Demand] = []
    casts: dict[int, list[Demand]] = defaultdict(list)
    for line in range(len(prepared.problem.lines)):
        if line not in prepared.cannot:
            _add_line(found, line, shares, hands, casts)
    found.limits.append(Limit(hands, hours(found), hands=True))
    found.limits += [Limit(demands, turns(found, mould)) for mould, demands in sorted(casts.items())]
    return found


def hours(demands: Demands) -> list[list[float]]:
    """Minutes of hands from each window to each later one."""
    windows = demands.prepared.calendar.windows[: demands.windows]
    minutes = [float(window.pairs * (window.end - window.start)) for window in windows]
    return [[0.0] * first + list(accumulate(minutes[first:])) for first in range(len(minutes))]


def turns(demands: Demands, mould: int) -> list[list[float]]:
    """Casts in a mould that can begin from each window to each later one, its copies free at the first."""
    earliest, windows = demands.earliest, demands.prepared.calendar.windows[: demands.windows]
    turn, rest = earliest.quickest_turns()[mould], demands.prepared.problem.moulds[mould].rest_minutes
    free_from, ends = earliest.copies_from(mould), windows[-1].end if windows else 0
    starts = [window.start for window in windows]
    known: dict[int, list[int]] = {}

    def filled_in(begin: int) -> list[int]:
        if begin not in known:
            counts = [0] * len(windows)
            for minute in takewhile(lambda minute: minute < ends, earliest.fills(turn, rest, begin)):
                counts[bisect_right(starts, minute) - 1] += 1
            known[begin] = counts
        return known[begin]

    room = []
    for start in starts:
        of_copies = [filled_in(max(start, free_at)) for free_at in free_from if free_at < ends]
        each = [float(sum(counts)) for counts in zip(*of_copies, strict=True)] or [0.0] * len(windows)
        room.append(list(accumulate(each)))
    return room


def _add_line(
    found: Demands,
    line: int,
    shares: Mapping[int, float],
    hands: list[Demand],
    casts: dict[int, list[Demand]],
) -> None:
    prepared, earliest = found.prepared, found.earliest
    packed, dry_at = earliest_packed(prepared, line), earliest_dry(prepared, line)
    if packed is None or dry_at is None:
        return
    sure = earliest.days_late(line, packed)
    days = [sure + day for day in (*range(BY_DAY), *range(BY_DAY, BY_DAY + 7 * BY_WEEK, 7))]
    by_days = [latest_ends(prepared, line, late) for late in days]
    asked = _tasks(prepared, line, dry_at, [ends for ends, _ in by_days])
    poured: list[tuple[int, Demand]] = []
    for number in prepared.units_of.get(line, []):
        if _first_pour(earliest, number) is None:
            return
        ends = [starts - prepared.units[number].wait_minutes for _, starts in by_days]
        opening, pour = _unit(found, number, ends, shares)
        asked += [opening, pour]
        poured.append((number, pour))
    # Days between which nothing gets more time are one: whoever is later is as late as the next.
    signs = [tuple(demand.last[place] for demand in asked) for place in range(len(days))]
    kept = [place for place in range(len(days)) if place == 0 or signs[place] != signs[place - 1]]
    points = [late_points(prepared, line, days[place]) for place in kept]
    adds = tuple(later - sooner for sooner, later in zip(points, points[1:], strict=False))
    found.lateness[line] = Lateness(tuple(days[place] for place in kept), adds)
    hands += [_kept(demand, kept) for demand in asked if demand.amount or demand.mixes]
    for number, pour in poured:
        unit = prepared.units[number]
        for mould, copies in prepared.streams[unit.stream].needs:
            last = tuple(pour.last[place] for place in kept[:-1])
            casts[mould].append(Demand(line, pour.first, float(copies * unit.pieces), last))


def _kept(demand: Demand, places: Sequence[int]) -> Demand:
    last = tuple(demand.last[place] for place in places[:-1])
    return Demand(demand.line, demand.first, demand.amount, last, demand.jug, demand.mixes)


def _tasks(prepared: Prepared, line: int, dry_at: int, ends_by: Sequence[Sequence[int]]) -> list[Demand]:
    """Steps and packing: each a task inside one window."""
    calendar, ends, asked = prepared.calendar, dry_at, []
    for task, (wait, minutes) in enumerate(prepared.tasks[line]):
        starts = calendar.first_fit(ends + wait, minutes)
        assert starts is not None  # else the line could not be packed
        last = tuple(_window(calendar, calendar.last_fit(ends_of[task], minutes)) for ends_of in ends_by)
        asked.append(Demand(line, _window(calendar, starts), float(minutes), last))
        ends = starts + minutes
    return asked


def _unit(
    found: Demands, number: int, ends_by: Sequence[int], shares: Mapping[int, float]
) -> tuple[Demand, Demand]:
    """Opening and pouring of the pieces of a unit that must be out of their moulds by some minutes."""
    prepared, earliest, calendar = found.prepared, found.earliest, found.prepared.calendar
    unit = prepared.units[number]
    stream, turn = prepared.streams[unit.stream], earliest.turn_of_stream[unit.stream]
    poured_at = _first_pour(earliest, number)
    assert poured_at is not None
    opens = calendar.first_fit(poured_at + turn.filled_after + turn.set_minutes, turn.opening)
    last_open: list[int] = []
    last_pour: list[int] = []
    for ends in ends_by:
        starts = calendar.last_fit(ends, turn.opening)
        last_open.append(_window(calendar, starts))
        if starts is not None:
            # The jug is cleaned while the casts set.
            clean_by = starts - turn.set_minutes + turn.hands - turn.filled_after
            starts = calendar.last_fit(clean_by, turn.hands)
        last_pour.append(_window(calendar, starts))
    opening = unit.pieces * stream.takes.opening_milliminutes / 1000
    filling = unit.pieces * stream.takes.fill_milliminutes / 1000
    mixes = unit.pieces * shares[unit.stream]
    return (
        Demand(unit.line, _window(calendar, opens), opening, tuple(last_open)),
        Demand(unit.line, _window(calendar, poured_at), filling, tuple(last_pour), stream.jug, mixes),
    )


def _first_pour(earliest: Earliest, number: int) -> int | None:
    pours = (earliest.pour(number, window.start, window.end) for window in earliest.calendar.windows)
    return next((minute for minute in pours if minute is not None), None)


def _window(calendar: WorkCalendar, minute: int | None) -> int:
    """The window that a minute lies in; NONE for none."""
    if minute is None:
        return NONE
    return bisect_right(calendar.windows, minute, key=lambda window: window.start) - 1


def asked_between(demands: Iterable[Demand], first: int, last: int) -> Iterable[tuple[Demand, int]]:
    """Demands that lie between two windows, each with the n of the `days[n]` its line is late otherwise."""
    for demand in demands:
        if demand.first >= first:
            place = bisect_right(demand.last, last)
            if place:
                yield demand, place
