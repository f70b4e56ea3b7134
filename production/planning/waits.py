"""What a line waited for in a simulation: mould, powder, material, hands or closed days, in working minutes.

Read off what the simulation did. A line goes from pour to opening to step to step; only the
waits after the last of these that began by its latest start can have made it late, and
only they count. For a late pour, of the pieces that were dry last, every working minute
from when the list rule would have poured them to when it did counts once: as *powder* where
too little was in hand for one piece, as *material* where too little pigment was, as *mould*
where too few copies were free, as *no pours* where none of it was to be poured, else as
*hands*: everything was there but hands before closing. For an opening or a step, every
working minute in which it could have been done and was not counts as *hands*, or as
*material* where too little of what the step needs was in hand. A day or more of a gap
between windows in which only hands were lacking counts as *closed days*, each day as long
as a usual working day, so that it can be compared.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from production.planning.calendar import DAY
from production.planning.prepare import Prepared
from production.planning.simulate import Run
from production.planning.state import MixRun
from production.planning.streams import Amounts, Unit

# No more of a wait is looked at: of a long one the end, of one that never ends the beginning.
LONGEST_LOOK = 28 * DAY


@dataclass(slots=True)
class Waited:
    """Minutes a line waited for each limit, and for which mould, compound or other supply most."""

    minutes: Counter[str] = field(default_factory=Counter)
    moulds: Counter[str] = field(default_factory=Counter)
    compounds: Counter[str] = field(default_factory=Counter)
    materials: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True, slots=True)
class _Stage:
    """One thing done for a line: when it could begin, did (None: never) and had to; `unit` for a pour."""

    due: int
    began_at: int | None
    latest_start: int
    minutes: int
    unit: Unit | None = None
    draws: Amounts = ()


class _Level:
    """An amount that changes in steps over time."""

    def __init__(self, start: int, changes: Iterable[tuple[int, int]]) -> None:
        self.minutes: list[int] = []
        self.amounts: list[int] = []
        self.first = start
        for minute, change in sorted(changes):
            start += change
            if self.minutes and self.minutes[-1] == minute:
                self.amounts[-1] = start
            else:
                self.minutes.append(minute)
                self.amounts.append(start)

    def at(self, minute: int) -> int:
        index = bisect_right(self.minutes, minute) - 1
        return self.amounts[index] if index >= 0 else self.first

    def changes_within(self, start: int, end: int) -> list[int]:
        return self.minutes[bisect_right(self.minutes, start) : bisect_right(self.minutes, end - 1)]


class Waits:
    """The waits of a run's lines; made once per run, asked per line."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.prepared = run.prepared
        problem = run.prepared.problem
        self.copies = [_Level(*self._copy_changes(number)) for number in range(len(problem.moulds))]
        self.supplies = _supply_levels(run)
        self.mixes_of: dict[int, list[int]] = {}
        for number, mix in enumerate(run.mixes):
            for unit_number, _ in mix.takes:
                self.mixes_of.setdefault(unit_number, []).append(number)
        self.usual_day = self._usual_day()

    def _copy_changes(self, mould: int) -> tuple[int, list[tuple[int, int]]]:
        prepared, kind = self.prepared, self.prepared.problem.moulds[mould]
        changes = [(minute, 1) for minute in kind.free_at if minute > 0]
        for filled, opened in zip(prepared.filled, self.run.filled_opened, strict=True):
            count = dict(filled.copies).get(mould, 0)
            if count and opened is not None:
                changes.append((opened + filled.opening_minutes + kind.rest_minutes, count))
        for mix in self.run.mixes:
            count = dict(mix.copies).get(mould, 0)
            if count and mix.opened is not None:
                changes.append((mix.start, -count))
                changes.append((mix.opened + mix.opening_minutes + kind.rest_minutes, count))
        return prepared.free_copies[mould], changes

    def _usual_day(self) -> int:
        """Working minutes of a usual open day (the middle one of all)."""
        by_day: Counter[int] = Counter()
        for window in self.prepared.calendar.windows:
            by_day[window.start // DAY] += window.end - window.start
        ordered = sorted(by_day.values())
        return ordered[len(ordered) // 2] if ordered else 0

    def of_line(self, line: int) -> Waited:
        """What a line waited for after it was last in time."""
        waited = Waited()
        for stage in self._stages(line):
            if stage.began_at is not None and stage.began_at <= stage.latest_start:
                waited = Waited()
            elif stage.unit is not None:
                self._wait_to_pour(waited, stage.unit, stage.began_at)
            else:
                self._wait_for_hands(waited, stage)
        return waited

    def _stages(self, line: int) -> list[_Stage]:
        """From the pour of the pieces that were dry last to packing, or to where the line stopped."""
        prepared, run = self.prepared, self.run
        latest = prepared.latest[line]
        unit, mix = self._critical_pour(line)
        due = prepared.first_task_from[line]
        stages = []
        if unit is not None:
            stages.append(_Stage(0, None if mix is None else mix.start, unit.latest_pour, 0, unit))
            if mix is None:
                return stages
            stages.append(
                _Stage(_set_at(prepared, mix), mix.opened, unit.latest_opening, mix.opening_minutes)
            )
            due = (mix.opened or 0) + mix.opening_minutes + unit.wait_minutes
        for filled, opened in zip(prepared.filled, run.filled_opened, strict=True):
            for wait in [wait for number, _, wait in filled.casts if number == line]:
                if opened is None:
                    return [_Stage(filled.ready_at, None, filled.latest_opening, filled.opening_minutes)]
                dried_at = opened + filled.opening_minutes + wait
                if dried_at >= due:
                    stages = [_Stage(filled.ready_at, opened, filled.latest_opening, filled.opening_minutes)]
                    due = dried_at
        starts = run.task_starts[line]
        draws = prepared.task_draws.get(line)
        for number, (wait, minutes) in enumerate(prepared.tasks[line][: len(starts) + 1]):
            began_at = starts[number] if number < len(starts) else None
            needs = draws[number] if draws else ()
            stages.append(_Stage(due + wait, began_at, latest.steps[number], minutes, draws=needs))
            due = (began_at or 0) + minutes
        return stages

    def _critical_pour(self, line: int) -> tuple[Unit | None, MixRun | None]:
        """The pieces that were dry last and their mix (None: some of them are not poured)."""
        prepared, run = self.prepared, self.run
        dry_at: int = prepared.first_task_from[line]
        critical: tuple[Unit | None, MixRun | None] = None, None
        for unit_number in prepared.units_of.get(line, []):
            unit = prepared.units[unit_number]
            poured = 0
            for mix_number in self.mixes_of.get(unit_number, []):
                mix = run.mixes[mix_number]
                poured += sum(pieces for number, pieces in mix.takes if number == unit_number)
                dried_at = (mix.opened or 0) + mix.opening_minutes + unit.wait_minutes
                if dried_at >= dry_at:
                    dry_at, critical = dried_at, (unit, mix)
            if poured < unit.pieces:
                return unit, None
        return critical

    def _wait_to_pour(self, waited: Waited, unit: Unit, poured_at: int | None) -> None:
        prepared, problem = self.prepared, self.prepared.problem
        wanted_at = max(
            0, problem.lines[unit.line].not_before, unit.latest_pour - self.run.rule.pour_ahead_minutes
        )
        ends = min(problem.minutes, wanted_at + LONGEST_LOOK) if poured_at is None else poured_at
        wanted_at = max(wanted_at, ends - LONGEST_LOOK)
        before = wanted_at
        for opens, closes in prepared.calendar.open_parts(wanted_at, ends):
            self._closed_days(waited, unit, before, opens)
            for start, end in self._even_stretches(unit, opens, closes):
                waited.minutes[self._lacking(unit, start, end - start, waited)] += end - start
            before = closes
        self._closed_days(waited, unit, before, ends)

    def _closed_days(self, waited: Waited, unit: Unit, closed_at: int, opens: int) -> None:
        """Count a gap of a day or more from when nothing but hands was lacking."""
        changes = [
            change for level in self._levels(unit) for change in level.changes_within(closed_at, opens)
        ]
        since = max(changes, default=closed_at)
        if opens - since >= DAY and self._lacking(unit, opens - 1, 0, waited) == "hands":
            # Closed days that follow a day without its pours are waited through because of that day.
            jug = self.prepared.jugs[self.prepared.streams[unit.stream].jug]
            limit = "closed days" if jug.barred_until(closed_at - 1) is None else "no pours"
            waited.minutes[limit] += (opens - since) * self.usual_day // DAY

    def _levels(self, unit: Unit) -> list[_Level]:
        """The copies and the supplies that a unit needs."""
        stream = self.prepared.streams[unit.stream]
        return [
            *(self.supplies[supply] for supply, _ in stream.draws),
            *(self.copies[mould] for mould, _ in stream.needs),
        ]

    def _even_stretches(self, unit: Unit, opens: int, closes: int) -> Iterable[tuple[int, int]]:
        """Stretches of working time in which neither copies nor supplies of a unit change."""
        levels = self._levels(unit)
        cuts = {opens, closes, *(cut for level in levels for cut in level.changes_within(opens, closes))}
        barred = self.prepared.jugs[self.prepared.streams[unit.stream].jug].barred
        cuts |= {cut for hours in barred for cut in hours if opens < cut < closes}
        return pairwise(sorted(cuts))

    def _lacking(self, unit: Unit, minute: int, length: int, waited: Waited) -> str:
        """What one piece of a unit lacks at a minute; notes for which mould, compound or supply."""
        problem = self.prepared.problem
        stream = self.prepared.streams[unit.stream]
        if self.prepared.jugs[stream.jug].barred_until(minute) is not None:
            return "no pours"
        # Its powder is the first thing a mix draws.
        for place, (supply, amount) in enumerate(stream.draws):
            if self.supplies[supply].at(minute) < amount:
                if place > 0:
                    waited.materials[self.prepared.supplies[supply].name] += length
                    return "material"
                waited.compounds[problem.compounds[self.prepared.jugs[stream.jug].compound].name] += length
                return "powder"
        short = [mould for mould, needed in stream.needs if self.copies[mould].at(minute) < needed]
        for mould in short:
            waited.moulds[problem.moulds[mould].name] += length
        return "mould" if short else "hands"

    def _wait_for_hands(self, waited: Waited, stage: _Stage) -> None:
        could = self.prepared.calendar.first_fit(max(0, stage.due), stage.minutes)
        if could is None:
            return
        ends = stage.began_at if stage.began_at is not None else could + LONGEST_LOOK
        for opens, closes in self.prepared.calendar.open_parts(could, ends):
            if not stage.draws:
                waited.minutes["hands"] += closes - opens
                continue
            levels = [self.supplies[supply] for supply, _ in stage.draws]
            cuts = {opens, closes, *(cut for level in levels for cut in level.changes_within(opens, closes))}
            for start, end in pairwise(sorted(cuts)):
                limit = "hands"
                for (supply, amount), level in zip(stage.draws, levels, strict=True):
                    if level.at(start) < amount:
                        waited.materials[self.prepared.supplies[supply].name] += end - start
                        limit = "material"
                waited.minutes[limit] += end - start


def _set_at(prepared: Prepared, mix: MixRun) -> int:
    """When the moulds of a mix can be opened."""
    setting = max(prepared.streams[prepared.units[unit].stream].set_minutes for unit, _ in mix.takes)
    return mix.start + prepared.jugs[mix.jug].weigh_and_mix_minutes + mix.fill_minutes + setting


def _supply_levels(run: Run) -> list[_Level]:
    """What was in hand of each supply, over time."""
    prepared = run.prepared
    changes = [list(supply.receipts) for supply in prepared.supplies]
    for mix in run.mixes:
        for supply, amount in mix.draws:
            changes[supply].append((mix.start, -amount))
    for line, draws in prepared.task_draws.items():
        for start, needs in zip(run.task_starts[line], draws, strict=False):
            for supply, amount in needs:
                changes[supply].append((start, -amount))
    openings = [supply.opening for supply in prepared.supplies]
    return [_Level(opening, moves) for opening, moves in zip(openings, changes, strict=True)]
