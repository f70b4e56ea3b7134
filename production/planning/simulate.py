"""The simulator: plays the studio forward minute by minute, and so makes every plan.

In each working window the hands that are free take the most urgent thing that fits before
closing: an opening, the next step of a line, or a mix, which is composed on the spot. Every
search steers this list scheduler and reads its answer, so every answer can be done.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf

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
    STEP_DUE,
    GivenMix,
    MixRun,
    Studio,
    open_studio,
)


@dataclass(frozen=True, slots=True)
class Run:
    """What one simulation did, in the numbers of `prepared`; `plans.plan_of` puts it into names.

    `task_starts` and `packed_at` are by line, `filled_opened` by mix that was in its moulds
    at the start; `missed_pins` counts the pins no mix starts in. Mixes that cannot be opened
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
        if not (
            studio.events or studio.ready or studio.active or studio.awaiting_window or studio.too_long_today
        ):
            # What waits for copies or powder now waits for ever.
            break
        _play_window(studio, window)
    mixes = tuple(mix for mix in studio.mixes if mix.opened is not None)
    return Run(
        prepared=prepared,
        rule=rule,
        mixes=mixes,
        filled_opened=tuple(studio.filled_opened),
        task_starts=tuple(tuple(starts) for starts in studio.task_starts),
        packed_at=tuple(studio.packed_at),
        score=_score(prepared, mixes, studio.packed_at),
        missed_pins=missed_pins(prepared, mixes),
    )


def _play_window(studio: Studio, window: Window) -> None:
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
    ready = studio.ready
    while ready and ready[0][3] > closing - minute:
        studio.too_long_today.append(heappop(ready))
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
        mix = studio.mixes[index]
        mix.opened = minute
        copies = mix.copies
        for unit_number, pieces in mix.takes:
            unit = prepared.units[unit_number]
            casts = pieces * len(prepared.streams[unit.stream].parts)
            studio.cast_opened(unit.line, casts, out_at + unit.wait_minutes)
    for mould, count in copies:
        studio.tell(out_at + prepared.problem.moulds[mould].rest_minutes, COPIES_FREE, mould, count)


def _finish(studio: Studio, line: int, minute: int, done_at: int) -> None:
    """Do the next task of a line, and note when the one after it is due."""
    studio.task_starts[line].append(minute)
    studio.next_task[line] += 1
    tasks = studio.prepared.tasks[line]
    if studio.next_task[line] == len(tasks):
        studio.packed_at[line] = done_at
    else:
        studio.tell(done_at + tasks[studio.next_task[line]][0], STEP_DUE, line)


def _score(prepared: Prepared, mixes: Sequence[MixRun], packed_at: Sequence[int | None]) -> Score:
    problem = prepared.problem
    points: float = 0
    leaves = []
    for line, packed in zip(problem.lines, packed_at, strict=True):
        counted = problem.minutes + UNPLACED_DAYS * DAY if packed is None else packed
        late = days_late(counted, line.ship_by)
        if packed is None or late:
            points += line.weight * line.quantity * (problem.late_step_days + late)
        leaves.append(max(line.ship_by, problem.minutes if packed is None else packed))
    early = 0
    for mix in mixes:
        for unit_number, pieces in mix.takes:
            unit = prepared.units[unit_number]
            early += (leaves[unit.line] - mix.start) * pieces * len(prepared.streams[unit.stream].parts)
    return Score(points, len(mixes), early)
