"""What the aggregated model of working windows knows: when pieces can be poured, and what that makes late.

A *cell* is a stretch of a working window in which pieces of a unit can be poured, with the days its line is
late at least when its last piece is poured there; a window is cut where those days change. Everything
here is true of every plan.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from production.planning.counting import groups_of_lines
from production.planning.forward import earliest_dry, earliest_packed
from production.planning.prepare import Prepared
from production.planning.solution import DAY
from production.planning.turns import NEVER, Earliest

# Turns of a mould are counted over so many cells' stretches at most (and from the start over any number).
LONGEST_STRETCH = 12


@dataclass(frozen=True, slots=True)
class Cell:
    """Mixes of a window that start from `start` on and before `end`, and the days a line is late then."""

    window: int
    start: int
    end: int
    days: int


@dataclass(slots=True)
class UnitFacts:
    """A unit's cells in order of time; `later_days` when poured after the last of them (NEVER: too late)."""

    cells: list[Cell]
    later_days: int


@dataclass(frozen=True, slots=True)
class Work:
    """Hands-on thousandths of a minute for a line, not before `head`; ends by `ends_by[d]` if d days late."""

    head: int
    milliminutes: int
    ends_by: tuple[int, ...]


@dataclass(slots=True)
class Facts:
    """The facts of some lines of a problem, on some slots."""

    prepared: Prepared
    earliest: Earliest
    sure_days: dict[int, int] = field(default_factory=dict)  # by line
    units: dict[int, UnitFacts] = field(default_factory=dict)
    levels: dict[int, list[int]] = field(default_factory=dict)  # by line, days above the sure ones

    def cell_of(self, unit_number: int, minute: int) -> int | None:
        """The cell of a unit in which a mix starts that starts at a minute."""
        cells = self.units[unit_number].cells
        place = bisect_right(cells, minute, key=lambda cell: cell.start) - 1
        return place if place >= 0 and minute < cells[place].end else None


def facts_of(
    earliest: Earliest,
    units: Iterable[int],
    most_days: Callable[[int], int],
    first_window: Callable[[int], int] = lambda unit: 0,
) -> Facts:
    """The facts of some units; cells that make a line later than `most_days(line)` are left out.

    `first_window(unit)` is the first window looked at. Lines that no plan can pack are left out.
    """
    prepared = earliest.prepared
    facts = Facts(prepared, earliest)
    for number in units:
        line = prepared.units[number].line
        if line not in facts.sure_days:
            packed = earliest_packed(prepared, line)
            facts.sure_days[line] = NEVER if packed is None else earliest.days_late(line, packed)
        if facts.sure_days[line] < NEVER:
            most = max(most_days(line), facts.sure_days[line])
            facts.units[number] = _unit_facts(facts, number, most, first_window(number))
    for number, unit_facts in facts.units.items():
        line = prepared.units[number].line
        days = {cell.days for cell in unit_facts.cells} | {unit_facts.later_days, NEVER}
        known = set(facts.levels.get(line, ()))
        facts.levels[line] = sorted(known | {late for late in days if late > facts.sure_days[line]})
    return facts


def _unit_facts(facts: Facts, number: int, most_days: int, first: int) -> UnitFacts:
    earliest, line = facts.earliest, facts.prepared.units[number].line

    def late(minute: int) -> int:
        return max(facts.sure_days[line], earliest.days_late(line, earliest.packed(number, minute)))

    cells: list[Cell] = []
    windows = facts.prepared.calendar.windows
    for window in range(first, len(windows)):
        start = earliest.pour(number, windows[window].start, windows[window].end)
        while start is not None and start < windows[window].end:
            days = late(start)
            if days > most_days:
                return UnitFacts(cells, days)
            later = range(start, windows[window].end)
            end = start + bisect_left(later, True, key=lambda minute: late(minute) > days)
            cells.append(Cell(window, start, end, days))
            start = end
    return UnitFacts(cells, NEVER)


def most_turns(facts: Facts, mould: int, cuts: Sequence[int]) -> list[tuple[int, int, int]]:
    """(from, before, casts): no plan begins more casts in a mould from one of the cuts and before another.

    Only those that do not follow from shorter stretches.
    """
    earliest, rest = facts.earliest, facts.prepared.problem.moulds[mould].rest_minutes
    turn, free_from = earliest.quickest_turns()[mould], earliest.copies_from(mould)
    limits: dict[tuple[int, int], int] = {}
    for first, start in enumerate(cuts[:-1]):
        last = len(cuts) - 1 if first == 0 else min(len(cuts) - 1, first + LONGEST_STRETCH)
        fills, before = list[int](), cuts[last]
        known: dict[int, list[int]] = {}
        for free_at in free_from:
            begin = max(start, free_at)
            if begin not in known:
                begun = earliest.fills(turn, rest, begin)
                known[begin] = list(takewhile(lambda minute: minute < before, begun))  # noqa: B023
            fills += known[begin]
        fills.sort()
        for place in range(first, last):
            limits[first, place + 1] = bisect_left(fills, cuts[place + 1])
    return [(cuts[first], cuts[end], limits[first, end]) for first, end in _not_implied(limits)]


def _not_implied(limits: Mapping[tuple[int, int], int]) -> list[tuple[int, int]]:
    """Stretches whose limit is below those of their two parts, wherever they are cut."""
    kept = []
    for (first, end), count in limits.items():
        parts = (
            limits[first, cut] + limits[cut, end]
            for cut in range(max(first + 1, end - LONGEST_STRETCH), end)
            if (cut, end) in limits and (first, cut) in limits
        )
        if all(count < part for part in parts):
            kept.append((first, end))
    return kept


def works_of(facts: Facts, line: int) -> list[Work]:
    """The openings and tasks of a line: the minute before which none begins, and by when each must end."""
    prepared, calendar = facts.prepared, facts.prepared.calendar
    days = [facts.sure_days[line], *(late for late in facts.levels.get(line, ()) if late < NEVER)]
    ready_at = earliest_dry(prepared, line)
    assert ready_at is not None  # else its sure days were NEVER
    heads, ends = [], ready_at
    for wait, minutes in prepared.tasks[line]:
        starts = calendar.first_fit(ends + wait, minutes)
        assert starts is not None
        heads.append(starts)
        ends = starts + minutes
    latest = [latest_ends(prepared, line, late) for late in days]
    works = [
        Work(head, minutes * 1000, tuple(ends_by[task] for ends_by, _ in latest))
        for task, (head, (_, minutes)) in enumerate(zip(heads, prepared.tasks[line], strict=True))
    ]
    for number in prepared.units_of.get(line, []):
        if number in facts.units and facts.units[number].cells:
            unit = prepared.units[number]
            stream, turn = prepared.streams[unit.stream], facts.earliest.turn_of_stream[unit.stream]
            head = facts.units[number].cells[0].start + turn.filled_after + turn.set_minutes
            ends_by = tuple(starts - unit.wait_minutes for _, starts in latest)
            works.append(Work(head, unit.pieces * stream.takes.opening_milliminutes, ends_by))
    return works


def latest_ends(prepared: Prepared, line: int, days: int) -> tuple[list[int], int]:
    """Latest end of each task of a line that may be so many days late; latest start of the first."""
    finish, ends = prepared.problem.lines[line].ship_by + days * DAY, list[int]()
    for wait, minutes in reversed(prepared.tasks[line]):
        starts = prepared.calendar.last_fit_or_before(finish, minutes)
        ends.append(starts + minutes)
        finish = starts - wait
    ends.reverse()
    return ends, finish


def units_by_group(prepared: Prepared) -> dict[int, list[int]]:
    """Units whose moulds tie them together, by group of lines (`counting.groups_of_lines`)."""
    group_of = groups_of_lines(prepared)
    groups: dict[int, list[int]] = {}
    for number, unit in enumerate(prepared.units):
        groups.setdefault(group_of[unit.line], []).append(number)
    return groups
