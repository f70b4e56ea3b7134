"""The simulator: plays the studio forward minute by minute, and so makes every plan.

In each working window the hands that are free take the most urgent thing that fits before
closing: an opening, the next step of a line, or a mix, which is composed on the spot. Every
search steers this list scheduler and reads its answer, so every answer can be done.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf

from production.planning.begin import open_studio
from production.planning.compose import pour_a_mix
from production.planning.list_rule import ListRule
from production.planning.pins import missed_pins, pour_a_pinned_mix
from production.planning.prepare import Prepared
from production.planning.problem import Window
from production.planning.solution import UNPLACED_DAYS, Score, days_late
from production.planning.state import (
    COPIES_FREE,
    DAY,
    OPENING,
    STEP,
    STEP_DUE,
    GivenMix,
    MixRun,
    Studio,
    Task,
)


@dataclass(frozen=True, slots=True)
class Run:
    """What one simulation did, in the numbers of `prepared`; `plans.plan_of` puts it into names.

    `task_starts` and `packed_at` are by line, `filled_opened` by mix that was in its moulds
    at the start; `missed_pins` counts the pins no mix starts in. `offsets` are those it was made
    with (none: all 0). Mixes that cannot be opened
    within the calendar are not among `mixes`.
    """

    prepared: Prepared
    rule: ListRule
    mixes: tuple[MixRun, ...]
    filled_opened: tuple[int | None, ...]
    task_starts: tuple[tuple[int, ...], ...]
    packed_at: tuple[int | None, ...]
    score: Score
    missed_pins: int = 0
    offsets: tuple[int, ...] = ()

    def given_mixes(self) -> list[GivenMix]:
        """Its mixes, each not before its start: given back under the same rule they make the same run."""
        return [GivenMix(mix.start, mix.jug, mix.takes) for mix in self.mixes]


def simulate(
    prepared: Prepared,
    rule: ListRule,
    *,
    offsets: Sequence[int] | None = None,
    given: Sequence[GivenMix] = (),
) -> Run:
    """Play the studio forward under a list rule.

    Parameters
    ----------
    offsets
        Minutes by line, added to all its latest starts: negative makes it more urgent.
    given
        Mixes to pour as they are, each from its own minute on; pieces that are in none of
        them are composed by the rule.
    """
    studio = open_studio(prepared, rule, offsets, given)
    for window in prepared.calendar.windows:
        if nothing_left(studio):
            break
        play_window(studio, window)
    return run_of(studio)


def nothing_left(studio: Studio) -> bool:
    """Whether nothing can happen any more: what waits for copies or supplies now waits for ever."""
    return not (
        studio.events or studio.ready or studio.active or studio.awaiting_window or studio.too_long_today
    )


def run_of(studio: Studio) -> Run:
    """What was done in a studio, scored."""
    prepared = studio.prepared
    mixes = tuple(mix for mix in studio.mixes if mix.opened is not None)
    starts, first = studio.task_starts, prepared.task_from
    return Run(
        prepared=prepared,
        rule=studio.rule,
        mixes=mixes,
        filled_opened=tuple(studio.filled_opened),
        task_starts=tuple(
            tuple(starts[first[line] : first[line] + done]) for line, done in enumerate(studio.next_task)
        ),
        packed_at=tuple(studio.packed_at),
        score=_score(prepared, mixes, studio.packed_at),
        missed_pins=missed_pins(prepared, mixes),
        offsets=tuple(studio.line_offset) if any(studio.line_offset) else (),
    )


def play_window(studio: Studio, window: Window) -> None:
    """Play one working window from its opening to its closing."""
    studio.activate_parked(studio.awaiting_window)
    for task in studio.too_long_today:
        heappush(studio.ready, task)
    studio.too_long_today.clear()
    minute, idle, busy_until = window.start, window.pairs, list[int]()
    while minute < window.end:
        while busy_until and busy_until[0] <= minute:
            heappop(busy_until)
            idle += 1
        studio.release(minute)
        if idle:
            ends = _do_something(studio, minute, window.end)
            if ends is not None:
                heappush(busy_until, ends)
                idle -= 1
                continue
        # Nothing changes before the next hands are free or the next thing happens.
        following = busy_until[0] if busy_until else window.end
        if idle and studio.events:
            following = min(following, studio.events[0][0])
        minute = following


def _do_something(studio: Studio, minute: int, closing: int) -> int | None:
    """Begin the most urgent thing that fits before closing; when its hands are free again."""
    ready, draws = studio.ready, studio.prepared.task_draws
    while ready:
        task = ready[0]
        if task[3] > closing - minute:
            studio.too_long_today.append(heappop(ready))
        elif not (draws and task[1] == STEP and task[2] in draws and _lacks_supply(studio, task)):
            break
    ends = pour_a_pinned_mix(studio, minute, closing) if studio.open_pins else None
    if ends is None:
        ends = pour_a_mix(studio, minute, closing, ready[0][0] if ready else inf)
    if ends is not None or not ready:
        return ends
    _, kind, index, minutes = heappop(ready)
    if kind == OPENING:
        _open(studio, index, minute, minute + minutes)
    else:
        _finish(studio, index, minute, minute + minutes)
    return minute + minutes


def _lacks_supply(studio: Studio, task: Task) -> bool:
    """Park the most urgent step with the supply it lacks; say whether it lacks one."""
    line = task[2]
    for supply, amount in studio.prepared.task_draws[line][studio.next_task[line]]:
        if studio.in_hand[supply] < amount:
            studio.shortages[supply] += 1
            studio.steps_awaiting_supply.setdefault(supply, []).append(heappop(studio.ready))
            return True
    return False


def _open(studio: Studio, index: int, minute: int, out_at: int) -> None:
    """Take the casts of a mix out of their moulds (negative: of one that was there at the start)."""
    prepared = studio.prepared
    if index < 0:
        filled = prepared.filled[-1 - index]
        studio.filled_opened[-1 - index] = minute
        copies = filled.copies
        for line, casts, wait in filled.casts:
            studio.cast_opened(line, casts, out_at + wait)
    else:
        mix = studio.mixes[index] = studio.mixes[index].opened_at(minute)
        copies = mix.copies
        for unit_number, pieces in mix.takes:
            unit = prepared.units[unit_number]
            casts = pieces * len(prepared.streams[unit.stream].parts)
            studio.cast_opened(unit.line, casts, out_at + unit.wait_minutes)
    for mould, count in copies:
        studio.tell(out_at + prepared.problem.moulds[mould].rest_minutes, COPIES_FREE, mould, count)


def _finish(studio: Studio, line: int, minute: int, done_at: int) -> None:
    """Do the next task of a line, and note when the one after it is due."""
    task, tasks = studio.next_task[line], studio.prepared.tasks[line]
    studio.task_starts[studio.prepared.task_from[line] + task] = minute
    if line in studio.prepared.task_draws:
        for supply, amount in studio.prepared.task_draws[line][task]:
            studio.in_hand[supply] -= amount
    task += 1
    studio.next_task[line] = task
    if task == len(tasks):
        studio.packed_at[line] = done_at
    else:
        studio.tell(done_at + tasks[task][0], STEP_DUE, line)


def _score(prepared: Prepared, mixes: Sequence[MixRun], packed_at: Sequence[int | None]) -> Score:
    problem, casts_of = prepared.problem, prepared.casts_of
    points: float = 0
    leaves = []
    for line, packed in zip(problem.lines, packed_at, strict=True):
        if packed is not None and packed <= line.ship_by:
            leaves.append(line.ship_by)
            continue
        late = days_late(problem.minutes + UNPLACED_DAYS * DAY if packed is None else packed, line.ship_by)
        points += line.weight * line.quantity * (problem.late_step_days + late)
        leaves.append(max(line.ship_by, problem.minutes if packed is None else packed))
    early = 0
    for mix in mixes:
        for unit, pieces in mix.takes:
            line_number, casts = casts_of[unit]
            early += (leaves[line_number] - mix.start) * pieces * casts
    return Score(points, len(mixes), early)
