"""The studio at one minute of a simulation: copies, supplies, casts in moulds, lines, and what waits.

Everything that is to happen is in one heap of events; everything that hands could do now
is in two: `ready` (openings and steps) and `active` (streams, and given mixes, that could be
poured). What cannot be done now is parked with the very thing it waits for (a mould, a
supply, a later minute, the next window) and comes back when that comes, so that no
decision looks through what has not changed. Nothing depends on the order in which things of
one minute happen.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush

from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared
from production.planning.streams import Amounts, MixNeeds, Takes

DAY = 1440
# An opening frees moulds: it counts as this much more urgent than its line alone would make it.
OPENING_HEAD_START = DAY

COPIES_FREE, OPENING_DUE, STEP_DUE, SUPPLY_IN, LINE_MAY_START, TRY_AGAIN, PIN_OPENS = range(7)
HOLD_COPIES, LET_COPIES_GO, MAY_BE_POURED = 7, 8, 9
OPENING, STEP = 0, 1

Task = tuple[int, int, int, int]  # urgency, kind, mix or line, minutes


@dataclass(slots=True)
class GivenMix:
    """A mix to be poured as it is, no earlier than `not_before`."""

    not_before: int
    jug: int
    takes: Takes


@dataclass(slots=True)
class MixRun:
    """One mix of a simulation; `opened` is None while its casts are in their moulds.

    Never changed: runs that begin alike share them (`tape.py`).
    """

    start: int
    jug: int
    takes: Takes
    fill_minutes: int
    opening_minutes: int
    draws: Amounts
    copies: tuple[tuple[int, int], ...]
    opened: int | None = None

    def opened_at(self, minute: int) -> "MixRun":
        """The same mix, opened at a minute."""
        return MixRun(
            self.start,
            self.jug,
            self.takes,
            self.fill_minutes,
            self.opening_minutes,
            self.draws,
            self.copies,
            minute,
        )


@dataclass(slots=True)
class GivenNeeds:
    """A given mix, how urgent it is, and what it needs."""

    mix: GivenMix
    urgency: int
    needs: MixNeeds


@dataclass(frozen=True, slots=True)
class OpenPin:
    """A pin whose time has come and that no mix has met yet."""

    jug: int
    end: int


@dataclass(slots=True)
class Studio:
    """State of one simulation; made by `begin.open_studio`, changed by the simulator only.

    `shortages` counts by supply how often too little in hand had a say. `holds` are copies (mould, count)
    that pinned mixes will need; of each so many are `held` back now, `to_hold` when they come free.
    """

    prepared: Prepared
    rule: ListRule
    unit_urgency: list[int]
    opening_urgency: list[int]
    line_offset: Sequence[int]
    left: list[int]
    free: list[int]
    in_hand: list[int]
    shortages: list[int]
    queues: list[list[tuple[int, int]]]
    given: list[GivenNeeds]
    tokens: list[int]
    casts_to_open: list[int]
    first_task_at: list[int]
    next_task: list[int]
    task_starts: list[int]
    packed_at: list[int | None]
    filled_opened: list[int | None]
    mixes: list[MixRun] = field(default_factory=list)
    events: list[tuple[int, int, int, int]] = field(default_factory=list)
    ready: list[Task] = field(default_factory=list)
    active: list[tuple[int, int, int]] = field(default_factory=list)
    awaiting_copies: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    awaiting_supply: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    steps_awaiting_supply: dict[int, list[Task]] = field(default_factory=dict)
    awaiting_window: list[tuple[int, int]] = field(default_factory=list)
    too_long_today: list[Task] = field(default_factory=list)
    open_pins: list[OpenPin] = field(default_factory=list)
    poured_given: set[int] = field(default_factory=set)
    holds: list[tuple[int, int]] = field(default_factory=list)
    held: list[int] = field(default_factory=list)
    to_hold: list[int] = field(default_factory=list)

    def tell(self, minute: int, kind: int, index: int, amount: int = 0) -> None:
        """Note that something happens at a minute."""
        heappush(self.events, (minute, kind, index, amount))

    def activate(self, entry: int) -> None:
        """Let a stream or given mix be considered now; whatever place it was parked in forgets it."""
        streams = len(self.queues)
        if entry >= streams:
            urgency = self.given[entry - streams].urgency
        elif self.queues[entry]:
            urgency = self.queues[entry][0][0]
        else:
            return
        self.tokens[entry] += 1
        heappush(self.active, (urgency, entry, self.tokens[entry]))

    def activate_parked(self, parked: list[tuple[int, int]]) -> None:
        """Let everything in one parking place be considered again."""
        for entry, token in parked:
            if self.tokens[entry] == token:
                self.activate(entry)
        parked.clear()

    def release(self, minute: int) -> None:
        """Let everything happen that happens up to a minute."""
        events = self.events
        while events and events[0][0] <= minute:
            _, kind, index, amount = heappop(events)
            if kind == COPIES_FREE:
                self._copies_free(index, amount)
            elif kind == STEP_DUE:
                self._step_due(index)
            elif kind == OPENING_DUE:
                self._opening_due(index)
            elif kind in (TRY_AGAIN, MAY_BE_POURED):
                if self.tokens[index] == amount:
                    self.activate(index)
            elif kind == SUPPLY_IN:
                self._supply_in(index, amount)
            elif kind == PIN_OPENS:
                self.open_pins.append(OpenPin(index, amount))
            elif kind == HOLD_COPIES:
                self._hold_copies(index)
            elif kind == LET_COPIES_GO:
                held, self.held[index], self.to_hold[index] = self.held[index], 0, 0
                self._copies_free(self.holds[index][0], held)
            else:
                stream = self.prepared.units[index].stream
                heappush(self.queues[stream], (self.unit_urgency[index], index))
                self.activate(stream)

    def _copies_free(self, mould: int, count: int) -> None:
        for number, (kind, _) in enumerate(self.holds):
            if kind == mould and self.to_hold[number] and count:
                taken = min(count, self.to_hold[number])
                self.held[number] += taken
                self.to_hold[number] -= taken
                count -= taken
        if count:
            self.free[mould] += count
            self.activate_parked(self.awaiting_copies.setdefault(mould, []))

    def _hold_copies(self, number: int) -> None:
        """Hold back what those that are out now will not make up when they come back."""
        mould, count = self.holds[number]
        held = sum(self.held[other] for other, (kind, _) in enumerate(self.holds) if kind == mould)
        out = self.prepared.problem.moulds[mould].copies - self.free[mould] - held
        now = min(self.free[mould], max(0, count - out))
        self.free[mould] -= now
        self.held[number], self.to_hold[number] = now, count - now

    def _step_due(self, line: int) -> None:
        task = self.next_task[line]
        urgency = self.prepared.latest[line].steps[task] + self.line_offset[line]
        heappush(self.ready, (urgency, STEP, line, self.prepared.tasks[line][task][1]))

    def _supply_in(self, supply: int, amount: int) -> None:
        self.in_hand[supply] += amount
        self.activate_parked(self.awaiting_supply.setdefault(supply, []))
        for task in self.steps_awaiting_supply.pop(supply, []):
            heappush(self.ready, task)

    def _opening_due(self, index: int) -> None:
        """Mixes already in their moulds at the start have negative numbers: -1 is the first."""
        if index < 0:
            filled = self.prepared.filled[-1 - index]
            offset = min((self.line_offset[line] for line, _, _ in filled.casts), default=0)
            urgency, minutes = filled.latest_opening + offset, filled.opening_minutes
        else:
            mix = self.mixes[index]
            urgency = min(self.opening_urgency[unit] for unit, _ in mix.takes)
            minutes = mix.opening_minutes
        heappush(self.ready, (urgency - OPENING_HEAD_START, OPENING, index, minutes))

    def cast_opened(self, line: int, casts: int, dried_at: int) -> None:
        """Count casts out of their moulds; the last one of a line starts the wait for its first task."""
        self.casts_to_open[line] -= casts
        self.first_task_at[line] = max(self.first_task_at[line], dried_at)
        if self.casts_to_open[line] == 0 and line not in self.prepared.cannot:
            self.tell(self.first_task_at[line], STEP_DUE, line)
