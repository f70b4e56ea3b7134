"""The studio at the first minute of a simulation: what is free, what is in moulds, what waits."""

from collections.abc import Iterable, Mapping, Sequence
from heapq import heappush

from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared
from production.planning.reserving import Reserved, reserve, supplies_coming, tell_supplies
from production.planning.state import (
    COPIES_FREE,
    LINE_MAY_START,
    OPENING_DUE,
    PIN_OPENS,
    STEP_DUE,
    TRY_AGAIN,
    GivenMix,
    GivenNeeds,
    Studio,
)


def open_studio(
    prepared: Prepared, rule: ListRule, offsets: Sequence[int] | None, given: Sequence[GivenMix]
) -> Studio:
    """The studio at minute 0: what is free, what is in moulds, what waits.

    `offsets` (minutes by line, negative is more urgent) shift the latest starts of a line.
    Pieces of `given` mixes are kept for them.
    """
    problem = prepared.problem
    offset = list(offsets) if offsets is not None else [0] * len(problem.lines)
    unit_urgency = [unit.latest_pour + offset[unit.line] for unit in prepared.units]
    kept, left = kept_for_given(prepared, unit_urgency, in_time_order(given))
    studio = Studio(
        prepared=prepared,
        rule=rule,
        unit_urgency=unit_urgency,
        opening_urgency=[unit.latest_opening + offset[unit.line] for unit in prepared.units],
        line_offset=offset,
        left=left,
        free=list(prepared.free_copies),
        in_hand=[],
        shortages=[0] * len(prepared.supplies),
        queues=[[] for _ in prepared.streams],
        given=kept,
        tokens=[0] * (len(prepared.streams) + len(kept)),
        casts_to_open=list(prepared.casts_to_open),
        first_task_at=list(prepared.first_task_from),
        next_task=[0] * len(problem.lines),
        task_starts=[0] * prepared.task_from[-1],
        packed_at=[None] * len(problem.lines),
        filled_opened=[None] * len(prepared.filled),
    )
    _note_events(studio)
    kept_for_pins, reserved = _kept_for_pins(studio)
    studio.in_hand, coming = supplies_coming(prepared, reserved)
    tell_supplies(studio, coming)
    reserve(studio, reserved)
    _queue_units(studio, kept_for_pins)
    return studio


def in_time_order(given: Sequence[GivenMix]) -> list[GivenMix]:
    """Given mixes by their minute: what is played before one has nothing to do with those after it."""
    return sorted(given, key=lambda mix: mix.not_before)


def kept_for_given(
    prepared: Prepared, unit_urgency: Sequence[int], mixes: Iterable[GivenMix]
) -> tuple[list[GivenNeeds], list[int]]:
    """What given mixes need, and the pieces of each unit that are in none of them.

    Pieces that are not there fall away, and so does a mix that none are left of.
    """
    kept, left = [], [unit.pieces for unit in prepared.units]
    for mix in mixes:
        are_there = True
        for unit, pieces in mix.takes:
            left[unit] -= pieces
            are_there = are_there and pieces > 0 <= left[unit]
        if not are_there:
            mix = _with_what_is_left(mix, left)
        if mix.takes:
            urgency = min([unit_urgency[unit] for unit, _ in mix.takes])
            kept.append(GivenNeeds(mix, urgency, prepared.needs_of(mix.jug, mix.takes)))
    return kept, left


def _with_what_is_left(mix: GivenMix, left: list[int]) -> GivenMix:
    """A mix whose pieces were taken without looking whether they are there, with those that are."""
    for unit, pieces in mix.takes:
        left[unit] += pieces
    takes = []
    for unit, wanted in mix.takes:
        pieces = min(wanted, left[unit])
        if pieces > 0:
            left[unit] -= pieces
            takes.append((unit, pieces))
    return GivenMix(mix.not_before, mix.jug, tuple(takes))


def _note_events(studio: Studio) -> None:
    prepared, problem = studio.prepared, studio.prepared.problem
    for number, mould in enumerate(problem.moulds):
        for minute in mould.free_at:
            if minute > 0:
                studio.tell(minute, COPIES_FREE, number, 1)
    for number, filled in enumerate(prepared.filled):
        studio.tell(filled.ready_at, OPENING_DUE, -1 - number)
    for number in range(len(problem.lines)):
        if studio.casts_to_open[number] == 0 and number not in prepared.cannot:
            studio.tell(studio.first_task_at[number], STEP_DUE, number)
    for number, needs in enumerate(studio.given):
        studio.tell(needs.mix.not_before, TRY_AGAIN, len(studio.queues) + number, 0)


def _queue_units(studio: Studio, kept_for_pins: Mapping[int, int]) -> None:
    prepared = studio.prepared
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


def _kept_for_pins(studio: Studio) -> tuple[dict[int, int], list[Reserved]]:
    """Note when pins open, and keep one unit of its jug for each: the most urgent that can wait so long.

    Given mixes that start within a pin are its own. Answers the minutes that units are kept for, and what
    each pinned mix needs.
    """
    prepared, problem = studio.prepared, studio.prepared.problem
    kept: dict[int, int] = {}
    reserved: list[Reserved] = []
    for pin in sorted(problem.pins, key=lambda pin: (pin.start, pin.end, pin.compound, pin.colour)):
        jug = prepared.jug_number.get((pin.compound, pin.colour))
        if jug is None:
            continue
        studio.tell(pin.start, PIN_OPENS, jug, pin.end)
        own = [given for given in studio.given if given.mix.jug == jug]
        own = [given for given in own if pin.start <= given.mix.not_before <= pin.end]
        if own:
            reserved.append(Reserved(own[0].mix.not_before, own[0].needs))
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
            most = prepared.streams[prepared.units[choice].stream].takes.most_per_mix
            pieces = min(studio.left[choice], most)
            reserved.append(Reserved(pin.start, prepared.needs_of(jug, ((choice, pieces),))))
    return kept, reserved
