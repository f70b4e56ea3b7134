"""Moving one mix of a plan by hand: what it would change, before anything is changed.

The plan in hand is played again with the mix pinned to its new minute and every other mix not before
where it was. Nothing is searched, so the answer comes at once; a later search keeps the pin and may mend
what the move has cost.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from production.planning.calendar import DAY
from production.planning.calm import (
    PLAIN_RULE,
    STAYS_WITHIN,
    Keep,
    KeptMix,
    given_from,
    ladder_key,
    offsets_from,
)
from production.planning.moving_room import QUARTER, Clash, MouldUse, NeedsOfMix, needs_of_mix
from production.planning.prepare import Prepared, prepare
from production.planning.problem import Pin, Problem, Window
from production.planning.simulate import Run, simulate
from production.planning.solution import days_late
from production.planning.state import GivenMix, MixRun

PAST, NOBODY_IN, NO_POURS, CLOSING, MOULD, SUPPLY, TAKEN, GONE = (
    "past", "nobody in", "no pours", "closing", "mould", "supply", "taken", "gone",
)  # fmt: skip
# Whole plays spent on looking for the first minute that is free.
PLAYS_FOR_FIRST_FREE = 12
# Of the mixes of the day that are in the way, so many are tried where the moved mix was.
SWAPS_TRIED = 12


@dataclass(frozen=True, slots=True)
class LineMoved:
    """What becomes of a line: minutes it is packed, None where the calendar does not hold it."""

    line: str
    ship_by: int
    packed_before: int | None
    packed_after: int | None

    @property
    def late_before(self) -> int | None:
        """Days late in the plan in hand, rounded up."""
        return None if self.packed_before is None else days_late(self.packed_before, self.ship_by)

    @property
    def late_after(self) -> int | None:
        """Days late after the move, rounded up."""
        return None if self.packed_after is None else days_late(self.packed_after, self.ship_by)


@dataclass(frozen=True, slots=True)
class MixShifted:
    """Another mix of the plan that would start at another minute."""

    mix: KeptMix
    start_before: int
    start_after: int


@dataclass(frozen=True, slots=True)
class Moved:
    """The plan with the mix at `start`, and what is different: `own` are the lines poured in it, `others`
    those that become late or stop being so."""

    start: int
    run: Run
    own: tuple[LineMoved, ...]
    others: tuple[LineMoved, ...]
    shifted: tuple[MixShifted, ...]
    mixes_before: int
    mixes_after: int


@dataclass(frozen=True, slots=True)
class CannotMove:
    """Why the mix cannot start at `start`, and the first quarter of an hour after it at which it can.

    `reason` is one of those above. `clash` says which moulds are in use, `other` in which mix of the plan;
    `window` are the hours that are too short ("closing") for `hands_minutes`.
    """

    start: int
    reason: str
    first_free: int | None
    clash: Clash | None = None
    other: KeptMix | None = None
    window: Window | None = None
    hands_minutes: int = 0


def with_pin(problem: Problem, pin: Pin) -> Problem:
    """The problem with one more pin, and hands that end what they do before the pinned minute."""
    return replace(
        problem, pins=(*problem.pins, pin), windows=windows_ready_for(problem.windows, [pin.start])
    )


def windows_ready_for(windows: Iterable[Window], minutes: Sequence[int]) -> tuple[Window, ...]:
    """The windows cut at these minutes: a task lies inside one window, so none is under way then."""
    found = []
    for window in windows:
        start = window.start
        for minute in sorted(set(minutes)):
            if start < minute < window.end:
                found.append(Window(start, minute, window.pairs))
                start = minute
        found.append(Window(start, window.end, window.pairs))
    return tuple(found)


def try_move(problem: Problem, keep: Keep, mix: KeptMix, to_minute: int) -> Moved | CannotMove:
    """Try a mix of `keep` at another minute.

    It is refused where nobody is in or none of it is to be poured, where its moulds are in another mix or
    would be wet for one, where a supply is short or where another pinned mix stands; then the first minute
    after it that works is named.
    """
    moving = _Moving(problem, keep, mix)
    if moving.needs is None:
        return CannotMove(to_minute, GONE, None)
    refused = moving.refusal(to_minute)
    if refused is None:
        moved = moving.play(to_minute)
        if isinstance(moved, Moved):
            return moved
        refused = moved
    return replace(refused, first_free=moving.first_free(max(to_minute, keep.now)))


class _Moving:
    """One mix, and the plan it is moved in."""

    def __init__(self, problem: Problem, keep: Keep, mix: KeptMix) -> None:
        self.problem, self.keep, self.mix = problem, keep, mix
        self.prepared = prepare(problem)
        others = replace(keep, mixes=tuple(one for one in keep.mixes if one is not mix))
        self.others = given_from(self.prepared, others)
        own = given_from(self.prepared, replace(keep, mixes=(mix,)))
        self.needs: NeedsOfMix | None = needs_of_mix(self.prepared, own[0]) if own else None
        self.before = self._simulated(self.prepared, [*self.others, *own])
        self.own = _mix_of(self.before, own[0]) if own else None
        self.use = MouldUse(self.before, without=self.own)

    def refusal(self, minute: int) -> CannotMove | None:
        """What stands against a minute before anything is played; None where nothing does."""
        assert self.needs is not None
        if minute < max(self.keep.now, self.needs.not_before):
            return CannotMove(minute, PAST, None)
        window = next((one for one in self.problem.windows if one.start <= minute < one.end), None)
        if window is None or window.pairs == 0:
            return CannotMove(minute, NOBODY_IN, None)
        if self.prepared.jugs[self.needs.mix.jug].barred_until(minute) is not None:
            return CannotMove(minute, NO_POURS, None)
        if minute + self.needs.hands_minutes > window.end:
            pinned = any(pin.start == window.end for pin in self.problem.pins)
            reason, hands = TAKEN if pinned else CLOSING, self.needs.hands_minutes
            return CannotMove(minute, reason, None, window=window, hands_minutes=hands)
        clash = self.use.clash(self.needs, minute)
        if clash is not None:
            return CannotMove(minute, MOULD, None, clash=clash, other=self._kept(clash.mix))
        return CannotMove(minute, SUPPLY, None) if self._is_short(minute) else None

    def play(self, minute: int, *, swaps: int = SWAPS_TRIED) -> Moved | CannotMove:
        """The plan with the mix at a minute, played; the calmest of what swapping it with another gives."""
        assert self.needs is not None
        pin = Pin(self.mix.compound, self.mix.colour, minute, minute)
        prepared = prepare(with_pin(self.problem, pin))
        given = GivenMix(minute, self.needs.mix.jug, self.needs.mix.takes)
        runs = [self._simulated(prepared, [*others, given]) for others in self._ways(minute, swaps)]
        run = min(runs, key=lambda run: ladder_key(self.keep, run))
        is_there = any(
            mix.start == minute and mix.jug == given.jug and mix.takes == given.takes for mix in run.mixes
        )
        if not is_there:
            return CannotMove(minute, TAKEN, None)
        if run.missed_pins > self.before.missed_pins:
            return CannotMove(minute, TAKEN, None)
        lines = self._lines(run)
        own = {self.problem.lines[prepared.units[unit].line].id for unit, _ in given.takes}
        return Moved(
            start=minute,
            run=run,
            own=tuple(line for line in lines if line.line in own),
            others=tuple(
                line for line in lines if line.line not in own and line.late_before != line.late_after
            ),
            shifted=self._shifted(run),
            mixes_before=len(self.before.mixes),
            mixes_after=len(run.mixes),
        )

    def first_free(self, after: int) -> int | None:
        """The first quarter of an hour after a minute at which the mix can be poured."""
        plays = 0
        for window in self.problem.windows:
            first = max(window.start, after + 1)
            for minute in range(-(-first // QUARTER) * QUARTER, window.end, QUARTER):
                if self.refusal(minute) is not None:
                    continue
                if plays == PLAYS_FOR_FIRST_FREE:
                    return None
                plays += 1
                if isinstance(self.play(minute, swaps=0), Moved):
                    return minute
        return None

    def _ways(self, minute: int, swaps: int) -> list[list[GivenMix]]:
        """The other mixes not before where they were; then with one of those in the way in the hole left."""
        assert self.needs is not None
        hole, day = self.needs.mix.not_before, minute // DAY
        in_the_way = [
            place
            for place, mix in enumerate(self.others)
            if mix.not_before // DAY == day and mix.not_before + self.needs.hands_minutes > minute
        ]
        ways = [self.others]
        for place in in_the_way[:swaps]:
            mix = self.others[place]
            swapped = list(self.others)
            swapped[place] = GivenMix(hole, mix.jug, mix.takes)
            ways.append(swapped)
        return ways

    def _simulated(self, prepared: Prepared, given: Sequence[GivenMix]) -> Run:
        rule = self.keep.rule or PLAIN_RULE
        return simulate(prepared, rule, offsets=offsets_from(prepared, self.keep), given=given)

    def _kept(self, mix: MixRun | None) -> KeptMix | None:
        """The mix of the old plan that a mix of the run stands for."""
        if mix is None:
            return None
        for kept in self.keep.mixes:
            given = given_from(self.prepared, replace(self.keep, mixes=(kept,)))
            if given and _mix_of(self.before, given[0]) is mix:
                return kept
        return None

    def _is_short(self, minute: int) -> bool:
        """Whether a supply that the mix draws on is used up at a minute, the other mixes where they are."""
        assert self.needs is not None
        for number, amount in self.needs.draws:
            supply = self.prepared.supplies[number]
            in_hand = supply.opening + sum(came for at, came in supply.receipts if at <= minute)
            for mix in self.before.mixes:
                if mix.start < minute and mix is not self.own:
                    in_hand -= sum(drawn for drawn_on, drawn in mix.draws if drawn_on == number)
            if in_hand < amount:
                return True
        return False

    def _lines(self, run: Run) -> list[LineMoved]:
        return [
            LineMoved(line.id, line.ship_by, before, after)
            for line, before, after in zip(
                self.problem.lines, self.before.packed_at, run.packed_at, strict=True
            )
        ]

    def _shifted(self, run: Run) -> tuple[MixShifted, ...]:
        """Mixes of the plan that start at another minute, by what they take."""
        found = []
        for kept in self.keep.mixes:
            if kept is self.mix:
                continue
            given = given_from(self.prepared, replace(self.keep, mixes=(kept,)))
            was = _mix_of(self.before, given[0]) if given else None
            now = _mix_of(run, given[0]) if given else None
            if was is not None and now is not None and abs(was.start - now.start) > STAYS_WITHIN:
                found.append(MixShifted(kept, was.start, now.start))
        return tuple(found)


def _mix_of(run: Run, given: GivenMix) -> MixRun | None:
    """The mix of a run that takes what a given one does, or the most of it."""
    wanted = dict(given.takes)
    best, most = None, 0
    for mix in run.mixes:
        if mix.jug == given.jug:
            same = sum(min(pieces, wanted.get(unit, 0)) for unit, pieces in mix.takes)
            # Of two that take the same pieces of one line, the one nearest to where it was.
            if same > most or (best is not None and same == most > 0 and _nearer(mix, best, given)):
                best, most = mix, same
    return best


def _nearer(mix: MixRun, best: MixRun, given: GivenMix) -> bool:
    return abs(mix.start - given.not_before) < abs(best.start - given.not_before)
