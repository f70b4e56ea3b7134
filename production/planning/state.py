"""The studio at one minute of a simulation: copies, supplies, casts in moulds, lines, and what waits.

Everything that is to happen is in one heap of events; everything that hands could do now
is in two: `ready` (openings and steps) and `active` (streams, and given mixes, that could be
poured). What cannot be done now is parked with the very thing it waits for (a mould, a
supply, a later minute, the next window) and comes back when that comes, so that no
decision looks through what has not changed. Nothing depends on the order in which things of
one minute happen.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush

from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared
from production.planning.streams import Amounts

DAY = 1440
# An opening frees moulds: it counts as this much more urgent than its line alone would make it.
OPENING_HEAD_START = DAY

COPIES_FREE, OPENING_DUE, STEP_DUE, SUPPLY_IN, LINE_MAY_START, TRY_AGAIN, PIN_OPENS = range(7)
OPENING, STEP = 0, 1

Takes = tuple[tuple[int, int], ...]  # unit, pieces; in the order the moulds are filled
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
    """What a given mix takes, summed over its pieces."""

    mix: GivenMix
    urgency: int
    fill_milliminutes: int
    opening_milliminutes: int
    set_minutes: int
    copies: tuple[tuple[int, int], ...]
    draws: Amounts


@dataclass(frozen=True, slots=True)
class OpenPin:
    """A pin whose time has come and that no mix has met yet."""

    jug: int
    end: int


@dataclass(slots=True)
class Studio:
    """State of one simulation; made by `open_studio`, changed by the simulator only."""

    prepared: Prepared
    rule: ListRule
    unit_urgency: list[int]
    opening_urgency: list[int]
    line_offset: Sequence[int]
    left: list[int]
    free: list[int]
    in_hand: list[int]
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
                self.free[index] += amount
                self.activate_parked(self.awaiting_copies.setdefault(index, []))
            elif kind == STEP_DUE:
                self._step_due(index)
            elif kind == OPENING_DUE:
                self._opening_due(index)
            elif kind == TRY_AGAIN:
                if self.tokens[index] == amount:
                    self.activate(index)
            elif kind == SUPPLY_IN:
                self._supply_in(index, amount)
            elif kind == PIN_OPENS:
                self.open_pins.append(OpenPin(index, amount))
            else:
                stream = self.prepared.units[index].stream
                heappush(self.queues[stream], (self.unit_urgency[index], index))
                self.activate(stream)

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


def open_studio(
    prepared: Prepared, rule: ListRule, offsets: Sequence[int] | None, given: Sequence[GivenMix]
) -> Studio:
    """The studio at minute 0: what is free, what is in moulds, what waits.

    `offsets` (minutes by line, negative is more urgent) shift the latest starts of a line.
    Pieces of `given` mixes are kept for them.
    """
    problem = prepared.problem
    offset = list(offsets) if offsets is not None else [0] * len(problem.lines)
    studio = Studio(
        prepared=prepared,
        rule=rule,
        unit_urgency=[unit.latest_pour + offset[unit.line] for unit in prepared.units],
        opening_urgency=[unit.latest_opening + offset[unit.line] for unit in prepared.units],
        line_offset=offset,
        left=[unit.pieces for unit in prepared.units],
        free=list(prepared.free_copies),
        in_hand=[supply.opening for supply in prepared.supplies],
        queues=[[] for _ in prepared.streams],
        given=[],
        tokens=[],
        casts_to_open=list(prepared.casts_to_open),
        first_task_at=list(prepared.first_task_from),
        next_task=[0] * len(problem.lines),
        task_starts=[0] * prepared.task_from[-1],
        packed_at=[None] * len(problem.lines),
        filled_opened=[None] * len(prepared.filled),
    )
    _keep_for_given(studio, given)
    studio.tokens = [0] * (len(studio.queues) + len(studio.given))
    _note_events(studio)
    _queue_units(studio)
    return studio


def _keep_for_given(studio: Studio, given: Sequence[GivenMix]) -> None:
    prepared = studio.prepared
    # In time order, so that what is played before a minute has nothing to do with mixes after it.
    for mix in sorted(given, key=lambda mix: mix.not_before):
        takes, copies = [], Counter[int]()
        fill = slurry = opening = setting = 0
        for unit, wanted in mix.takes:
            pieces = min(wanted, studio.left[unit])
            if pieces <= 0:
                continue
            studio.left[unit] -= pieces
            takes.append((unit, pieces))
            stream = prepared.streams[prepared.units[unit].stream]
            fill += stream.takes.fill_milliminutes * pieces
            slurry += stream.takes.slurry_mg * pieces
            opening += stream.takes.opening_milliminutes * pieces
            setting = max(setting, stream.set_minutes)
            for mould, needed in stream.needs:
                copies[mould] += needed * pieces
        if takes:
            urgency = min(studio.unit_urgency[unit] for unit, _ in takes)
            kept = GivenMix(mix.not_before, mix.jug, tuple(takes))
            in_moulds = tuple(sorted(copies.items()))
            draws = prepared.jugs[mix.jug].draws(slurry)
            studio.given.append(GivenNeeds(kept, urgency, fill, opening, setting, in_moulds, draws))


def _note_events(studio: Studio) -> None:
    prepared, problem = studio.prepared, studio.prepared.problem
    for number, mould in enumerate(problem.moulds):
        for minute in mould.free_at:
            if minute > 0:
                studio.tell(minute, COPIES_FREE, number, 1)
    for number, supply in enumerate(prepared.supplies):
        for minute, amount in supply.receipts:
            studio.tell(minute, SUPPLY_IN, number, amount)
    for number, filled in enumerate(prepared.filled):
        studio.tell(filled.ready_at, OPENING_DUE, -1 - number)
    for number in range(len(problem.lines)):
        if studio.casts_to_open[number] == 0 and number not in prepared.cannot:
            studio.tell(studio.first_task_at[number], STEP_DUE, number)
    for number, needs in enumerate(studio.given):
        studio.tell(needs.mix.not_before, TRY_AGAIN, len(studio.queues) + number, 0)


def _queue_units(studio: Studio) -> None:
    prepared = studio.prepared
    kept_for_pins = _kept_for_pins(studio)
    for stream_number, stream in enumerate(prepared.streams):
        queue = studio.queues[stream_number]
        for unit in stream.units:
            if studio.left[unit] <= 0:
                continue
            not_before = prepared.problem.lines[prepared.units[unit].line].not_before
            not_before = max(not_before, kept_for_pins.get(unit, 0))
            if not_before > 0:
                studio.tell(not_before, LINE_MAY_START, unit)
            else:
                heappush(queue, (studio.unit_urgency[unit], unit))
        studio.activate(stream_number)


def _kept_for_pins(studio: Studio) -> dict[int, int]:
    """Note when pins open, and keep one unit of its jug for each: the most urgent that can wait so long.

    Given mixes that start within a pin are its own.
    """
    prepared, problem = studio.prepared, studio.prepared.problem
    kept: dict[int, int] = {}
    for pin in sorted(problem.pins, key=lambda pin: (pin.start, pin.end, pin.compound, pin.colour)):
        jug = prepared.jug_number.get((pin.compound, pin.colour))
        if jug is None:
            continue
        studio.tell(pin.start, PIN_OPENS, jug, pin.end)
        starts = [needs.mix.not_before for needs in studio.given if needs.mix.jug == jug]
        if any(pin.start <= start <= pin.end for start in starts):
            continue
        units = [
            unit
            for stream in prepared.jugs[jug].streams
            for unit in prepared.streams[stream].units
            if studio.left[unit] > 0 and unit not in kept
        ]
        if units:
            can_wait = [unit for unit in units if prepared.units[unit].latest_pour >= pin.start]
            choice = min(can_wait, key=lambda unit: (prepared.units[unit].latest_pour, unit), default=None)
            if choice is None:
                choice = max(units, key=lambda unit: (prepared.units[unit].latest_pour, unit))
            kept[choice] = pin.start
    return kept
