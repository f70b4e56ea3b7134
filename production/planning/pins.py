"""Pinned mixes: one of a compound and colour must start between two minutes.

A pin that is open goes before everything else that free hands could do, whatever the list
rule says; what it cannot do is make a mould free or powder come.
"""

from collections.abc import Sequence

from production.planning.compose import compose, parking_place, place_of_given, start_mix, take_copies
from production.planning.prepare import Prepared
from production.planning.state import MixRun, Studio


def pour_a_pinned_mix(studio: Studio, minute: int, closing: int) -> int | None:
    """Pour a mix that an open pin asks for, if one can start now; when its hands are free again."""
    studio.open_pins = [pin for pin in studio.open_pins if pin.end >= minute]
    for pin in studio.open_pins:
        if studio.prepared.jugs[pin.jug].barred_until(minute) is not None:
            continue
        ends = _pour_given(studio, pin.jug, minute, closing)
        if ends is None:
            ends = _pour_composed(studio, pin.jug, minute, closing)
        if ends is not None:
            return ends
    return None


def _pour_given(studio: Studio, jug: int, minute: int, closing: int) -> int | None:
    for number, needs in enumerate(studio.given):
        entry = len(studio.queues) + number
        if needs.mix.jug != jug or needs.mix.not_before > minute or entry in studio.poured_given:
            continue
        if place_of_given(studio, needs, minute, closing) is None:
            take_copies(studio, entry)
            return start_mix(studio, jug, needs.mix.takes, needs.needs, minute)
    return None


def _pour_composed(studio: Studio, jug_number: int, minute: int, closing: int) -> int | None:
    queues, jug = studio.queues, studio.prepared.jugs[jug_number]
    streams = [stream for stream in jug.streams if queues[stream]]
    for stream_number in sorted(streams, key=lambda stream: (queues[stream][0][0], stream)):
        stream = studio.prepared.streams[stream_number]
        takes = stream.needs, stream.takes.fill_milliminutes, stream.draws
        if parking_place(studio, jug, closing - minute, *takes) is None:
            composed = compose(studio, stream_number, minute, closing, may_wait=False)
            if composed is not None:
                studio.activate(stream_number)
                return start_mix(studio, jug_number, *composed, minute)
    return None


def missed_pins(prepared: Prepared, mixes: Sequence[MixRun]) -> int:
    """How many pins no mix starts in."""
    missed = 0
    for pin in prepared.problem.pins:
        jug = prepared.jug_number.get((pin.compound, pin.colour))
        missed += not any(mix.jug == jug and pin.start <= mix.start <= pin.end for mix in mixes)
    return missed
