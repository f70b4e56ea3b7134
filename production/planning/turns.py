"""What no plan can beat, with the studio to itself: when pieces are ready, how often a copy is filled.

Everything here is optimistic on purpose: one piece to a mix, hands always free, nothing else in the way.
What is ready earlier than any plan can have it, and filled oftener than any plan can, bounds every plan.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from production.planning.prepare import Prepared
from production.planning.solution import DAY, UNPLACED_DAYS, days_late

# A mix or a line that no window of the calendar holds.
NEVER = 10**9


@dataclass(frozen=True, slots=True)
class Turn:
    """The least one cast takes: hands until the jug is clean, filled by, set, opening."""

    hands: int
    filled_after: int
    set_minutes: int
    opening: int


class Earliest:
    """The earliest minutes of a problem's pieces and moulds; answers are remembered."""

    def __init__(self, prepared: Prepared) -> None:
        self.prepared, self.calendar = prepared, prepared.calendar
        self.turn_of_stream = [self._turn(stream) for stream in range(len(prepared.streams))]
        self._line_ready = list(prepared.first_task_from)
        for filled in prepared.filled:
            opens = self.calendar.first_fit(max(0, filled.ready_at), filled.opening_minutes)
            for line, _, wait in filled.casts:
                ready = NEVER if opens is None else opens + filled.opening_minutes + wait
                self._line_ready[line] = max(self._line_ready[line], ready)
        self._packed: dict[tuple[int, int], int] = {}

    def _turn(self, number: int) -> Turn:
        stream = self.prepared.streams[number]
        jug = self.prepared.jugs[stream.jug]
        filled_after = jug.weigh_and_mix_minutes + -(-stream.takes.fill_milliminutes // 1000)
        opening = -(-stream.takes.opening_milliminutes // 1000)
        return Turn(filled_after + jug.clean_up_minutes, filled_after, stream.set_minutes, opening)

    def pour(self, unit_number: int, opens: int, closes: int) -> int | None:
        """The earliest minute from `opens` that starts a mix with a piece of a unit, done by `closes`."""
        unit = self.prepared.units[unit_number]
        starts = max(opens, self.prepared.problem.lines[unit.line].not_before)
        starts = self.prepared.jugs[self.prepared.streams[unit.stream].jug].barred_until(starts) or starts
        return starts if starts + self.turn_of_stream[unit.stream].hands <= closes else None

    def packed(self, unit_number: int, poured_at: int) -> int:
        """A minute before which a line is not packed, if a piece of this unit is poured then (or NEVER)."""
        unit = self.prepared.units[unit_number]
        turn = self.turn_of_stream[unit.stream]
        opens = self.calendar.first_fit(poured_at + turn.filled_after + turn.set_minutes, turn.opening)
        if opens is None:
            return NEVER
        return self.line_packed(unit.line, opens + turn.opening + unit.wait_minutes)

    def line_packed(self, line: int, dried_at: int) -> int:
        """A minute before which a line is not packed whose last cast is dry at `dried_at` (or NEVER)."""
        ready = max(dried_at, self._line_ready[line], 0)
        known = self._packed.get((line, ready))
        if known is None:
            known = self._packed[line, ready] = self._walk(line, ready)
        return known

    def _walk(self, line: int, ends: int) -> int:
        for wait, minutes in self.prepared.tasks[line]:
            starts = self.calendar.first_fit(ends + wait, minutes)
            if starts is None:
                return NEVER
            ends = starts + minutes
        return ends

    def days_late(self, line: int, packed_at: int) -> int:
        """Days that a line packed then is late; NEVER when it is not placed."""
        if packed_at >= NEVER:
            return NEVER
        return days_late(packed_at, self.prepared.problem.lines[line].ship_by)

    def fills(self, turn: Turn, rest: int, free_at: int) -> Iterator[int]:
        """Starts of mixes that fill one copy, each as early as can be, from the minute it is free."""
        starts = self.calendar.first_fit(free_at, turn.hands)
        while starts is not None:
            yield starts
            opens = self.calendar.first_fit(starts + turn.filled_after + turn.set_minutes, turn.opening)
            if opens is None:
                return
            starts = self.calendar.first_fit(opens + turn.opening + rest, turn.hands)

    def quickest_turns(self) -> dict[int, Turn]:
        """By mould, the least that any cast in it takes."""
        turns: dict[int, Turn] = {}
        for stream, turn in zip(self.prepared.streams, self.turn_of_stream, strict=True):
            for mould, _ in stream.needs:
                was = turns.get(mould, turn)
                turns[mould] = Turn(
                    min(turn.hands, was.hands),
                    min(turn.filled_after, was.filled_after),
                    min(turn.set_minutes, was.set_minutes),
                    min(turn.opening, was.opening),
                )
        return turns

    def copies_from(self, mould: int) -> list[int]:
        """The minute from which each copy of a mould can be filled, at the earliest."""
        kind = self.prepared.problem.moulds[mould]
        free = [0] * self.prepared.free_copies[mould] + [minute for minute in kind.free_at if minute > 0]
        for filled in self.prepared.filled:
            opens = self.calendar.first_fit(max(0, filled.ready_at), filled.opening_minutes)
            back = NEVER if opens is None else opens + filled.opening_minutes + kind.rest_minutes
            free += [back] * dict(filled.copies).get(mould, 0)
        return sorted(free)


def late_points(prepared: Prepared, line: int, days: int) -> float:
    """Lateness points of a line so many days late; NEVER: not placed."""
    problem, wanted = prepared.problem, prepared.problem.lines[line]
    if days >= NEVER:
        days = days_late(problem.minutes + UNPLACED_DAYS * DAY, wanted.ship_by)
    elif days == 0:
        return 0
    return wanted.weight * wanted.quantity * (problem.late_step_days + days)
