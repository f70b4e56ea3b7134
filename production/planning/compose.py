"""Composing a mix: which pieces go into the next jug, given what is free at this minute."""

from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush

from production.planning.measures import PieceTakes, whole_minutes
from production.planning.state import (
    DAY,
    MAY_BE_POURED,
    OPENING_DUE,
    TRY_AGAIN,
    GivenNeeds,
    MixRun,
    Studio,
)
from production.planning.streams import Amounts, Jug, MixNeeds, Takes

Needs = tuple[tuple[int, int], ...]  # mould, copies

# A mix that is far from full waits only while its most urgent piece has this long in hand.
WAITING_IN_HAND = DAY


def pour_a_mix(studio: Studio, minute: int, closing: int, not_later_than: float) -> int | None:
    """Pour the most urgent mix that can start now, if its urgency is not later than given.

    Returns the minute at which the hands are free again, or None when nothing was poured;
    what could not be poured is parked with what it waits for.
    """
    active, tokens, queues = studio.active, studio.tokens, studio.queues
    while active and active[0][0] <= not_later_than:
        urgency, entry, token = heappop(active)
        if tokens[entry] != token:
            continue
        if entry >= len(queues):
            ends = _pour_given(studio, entry, minute, closing)
        else:
            queue = queues[entry]
            if not queue:
                continue
            if queue[0][0] != urgency:
                # Its most urgent piece went into another mix of the same jug.
                studio.activate(entry)
                continue
            ends = _pour_stream(studio, entry, minute, closing)
        if ends is not None:
            return ends
    return None


def _pour_stream(studio: Studio, entry: int, minute: int, closing: int) -> int | None:
    may_start_at = studio.queues[entry][0][0] - studio.rule.pour_ahead_minutes
    if may_start_at > minute:
        studio.tell(may_start_at, TRY_AGAIN, entry, studio.tokens[entry])
        return None
    stream = studio.prepared.streams[entry]
    jug, fill = studio.prepared.jugs[stream.jug], stream.takes.fill_milliminutes
    if jug.barred and _waits_until_allowed(studio, jug, entry, minute):
        return None
    place = parking_place(studio, jug, closing - minute, stream.needs, fill, stream.draws)
    if place is not None:
        place.append((entry, studio.tokens[entry]))
        return None
    composed = compose(studio, entry, minute, closing)
    if composed is None:
        studio.awaiting_window.append((entry, studio.tokens[entry]))
        return None
    studio.activate(entry)
    return start_mix(studio, stream.jug, *composed, minute)


def _pour_given(studio: Studio, entry: int, minute: int, closing: int) -> int | None:
    needs = studio.given[entry - len(studio.queues)]
    jug = studio.prepared.jugs[needs.mix.jug]
    if jug.barred and _waits_until_allowed(studio, jug, entry, minute):
        return None
    place = place_of_given(studio, needs, minute, closing)
    if place is not None:
        place.append((entry, studio.tokens[entry]))
        return None
    take_copies(studio, entry)
    return start_mix(studio, needs.mix.jug, needs.mix.takes, needs.needs, minute)


def _waits_until_allowed(studio: Studio, jug: Jug, entry: int, minute: int) -> bool:
    """Let what may not be poured now wait for the minute when it may; say whether it has to."""
    until = jug.barred_until(minute)
    if until is None:
        return False
    studio.tell(until, MAY_BE_POURED, entry, studio.tokens[entry])
    return True


def take_copies(studio: Studio, entry: int) -> None:
    """Take the copies of a given mix that is about to start; it is not considered again."""
    for mould, copies in studio.given[entry - len(studio.queues)].needs.copies:
        studio.free[mould] -= copies
    studio.tokens[entry] += 1
    studio.poured_given.add(entry)


def place_of_given(
    studio: Studio, given: GivenNeeds, minute: int, closing: int
) -> list[tuple[int, int]] | None:
    """Where a given mix waits that cannot start now; None if it lacks nothing."""
    jug, needs = studio.prepared.jugs[given.mix.jug], given.needs
    return parking_place(studio, jug, closing - minute, needs.copies, needs.fill_milliminutes, needs.draws)


def parking_place(
    studio: Studio, jug: Jug, minutes: int, copies: Needs, fill_milliminutes: int, draws: Amounts
) -> list[tuple[int, int]] | None:
    """Where what lacks copies, `minutes` before closing or a supply waits; None if it lacks nothing."""
    free, in_hand = studio.free, studio.in_hand
    for mould, count in copies:
        if free[mould] < count:
            return studio.awaiting_copies.setdefault(mould, [])
    if fill_milliminutes > (minutes - jug.weigh_and_mix_minutes - jug.clean_up_minutes) * 1000:
        return studio.awaiting_window
    for supply, amount in draws:
        if in_hand[supply] < amount:
            studio.shortages[supply] += 1
            return studio.awaiting_supply.setdefault(supply, [])
    return None


@dataclass(slots=True)
class _Jugful:
    """A mix being composed: what it may still take, and what it has taken."""

    fill_room: int
    slurry_room: int
    opening_room: int
    fill_milliminutes: int = 0
    slurry_mg: int = 0
    opening_milliminutes: int = 0
    set_minutes: int = 0
    takes: list[tuple[int, int]] = field(default_factory=list)
    copies: dict[int, int] = field(default_factory=dict)
    emptied: list[tuple[int, tuple[int, int]]] = field(default_factory=list)  # stream, its queue's entry

    def add(self, unit: int, pieces: int, each: PieceTakes) -> None:
        self.takes.append((unit, pieces))
        fill, slurry = pieces * each.fill_milliminutes, pieces * each.slurry_mg
        opening = pieces * each.opening_milliminutes
        self.fill_room -= fill
        self.fill_milliminutes += fill
        self.slurry_room -= slurry
        self.slurry_mg += slurry
        self.opening_room -= opening
        self.opening_milliminutes += opening


def compose(
    studio: Studio, first: int, minute: int, closing: int, *, may_wait: bool = True
) -> tuple[Takes, MixNeeds] | None:
    """Fill a jug from the streams that share it, most urgent pieces first; None if it is worth waiting.

    `first` is a stream whose first piece is known to fit.
    """
    queues = studio.queues
    jug_number = studio.prepared.streams[first].jug
    jug = studio.prepared.jugs[jug_number]
    head = queues[first][0][0]
    horizon = max(head, minute) + studio.rule.look_ahead_minutes
    mix = _empty_jug(studio, jug, minute, closing)
    frontier = [(queues[s][0][0], s) for s in jug.streams if queues[s] and queues[s][0][0] <= horizon]
    heapify(frontier)
    # With less room than any piece takes, nothing more is looked at.
    while (
        frontier and mix.fill_room >= jug.least_fill_milliminutes and mix.slurry_room >= jug.least_slurry_mg
    ):
        _, stream = heappop(frontier)
        if _take_pieces(studio, mix, stream) and queues[stream] and queues[stream][0][0] <= horizon:
            heappush(frontier, (queues[stream][0][0], stream))
    if not mix.takes or may_wait and head > minute + WAITING_IN_HAND and _is_thin(studio, mix, jug_number):
        _pour_back(studio, mix)
        return None
    copies = tuple(sorted(mix.copies.items()))
    needs = MixNeeds(
        mix.fill_milliminutes, mix.opening_milliminutes, mix.set_minutes, copies, jug.draws(mix.slurry_mg)
    )
    return tuple(mix.takes), needs


def _empty_jug(studio: Studio, jug: Jug, minute: int, closing: int) -> _Jugful:
    hands = closing - minute - jug.weigh_and_mix_minutes - jug.clean_up_minutes
    slurry_room = jug.most_slurry_mg(studio.in_hand)
    if slurry_room >= jug.holds_mg:
        slurry_room = jug.holds_mg
    else:
        studio.shortages[jug.powder] += 1
        for supply, _ in jug.pigments:
            studio.shortages[supply] += 1
    return _Jugful(
        fill_room=min(jug.working_minutes, hands) * 1000,
        slurry_room=slurry_room,
        opening_room=studio.prepared.calendar.longest_minutes * 1000,
    )


def _take_pieces(studio: Studio, mix: _Jugful, stream_number: int) -> bool:
    """Take as many pieces of a stream's first unit as fit; say whether the whole unit went in."""
    stream, queue = studio.prepared.streams[stream_number], studio.queues[stream_number]
    unit, each, free = queue[0][1], stream.takes, studio.free
    pieces = studio.left[unit]
    # Written out, not as a minimum of all: this is where simulations spend their time.
    most = mix.fill_room // each.fill_milliminutes
    if most < pieces:
        pieces = most
    most = mix.slurry_room // each.slurry_mg
    if most < pieces:
        pieces = most
    most = mix.opening_room // each.opening_milliminutes
    if most < pieces:
        pieces = most
    for mould, needed in stream.needs:
        most = free[mould] // needed
        if most < pieces:
            pieces = most
    if pieces <= 0:
        return False
    mix.add(unit, pieces, each)
    if stream.set_minutes > mix.set_minutes:
        mix.set_minutes = stream.set_minutes
    for mould, needed in stream.needs:
        free[mould] -= needed * pieces
        mix.copies[mould] = mix.copies.get(mould, 0) + needed * pieces
    studio.left[unit] -= pieces
    if studio.left[unit] > 0:
        return False
    mix.emptied.append((stream_number, heappop(queue)))
    return True


def _is_thin(studio: Studio, mix: _Jugful, jug_number: int) -> bool:
    """Whether a mix is less full than the rule asks although its jug has more to pour."""
    jug = studio.prepared.jugs[jug_number]
    fullness = max(mix.fill_milliminutes / (jug.working_minutes * 1000), mix.slurry_mg / jug.holds_mg)
    return fullness < studio.rule.least_fill and any(studio.queues[stream] for stream in jug.streams)


def _pour_back(studio: Studio, mix: _Jugful) -> None:
    for stream, entry in mix.emptied:
        heappush(studio.queues[stream], entry)
    for unit, pieces in mix.takes:
        studio.left[unit] += pieces
    for mould, taken in mix.copies.items():
        studio.free[mould] += taken


def start_mix(studio: Studio, jug_number: int, takes: Takes, needs: MixNeeds, minute: int) -> int:
    """Start a mix whose copies are taken already; the minute its hands are free again."""
    jug = studio.prepared.jugs[jug_number]
    if studio.open_pins:
        studio.open_pins = [pin for pin in studio.open_pins if pin.jug != jug_number]
    for supply, amount in needs.draws:
        studio.in_hand[supply] -= amount
    fill, opening = whole_minutes(needs.fill_milliminutes), whole_minutes(needs.opening_milliminutes)
    filled_at = minute + jug.weigh_and_mix_minutes + fill
    studio.tell(filled_at + needs.set_minutes, OPENING_DUE, len(studio.mixes))
    studio.mixes.append(MixRun(minute, jug_number, takes, fill, opening, needs.draws, needs.copies))
    return filled_at + jug.clean_up_minutes
