"""Local moves on the mixes of a plan, each judged by playing the studio again.

A plan is held as given mixes, each not before a minute of its own. A move changes a few of
them: a mix is dissolved into others of its jug, merged with one, topped up from one, moved to another
hour, swapped in time with the next, or let go to be composed anew; a late line is hurried. Most moves
make the plan worse and are dropped (`walk.py`).
"""

import random
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Sequence
from functools import partial

from production.planning.copies_in_use import CopiesInUse
from production.planning.nudges import late_lines
from production.planning.rooms import Rooms, with_pieces
from production.planning.simulate import Run, simulate
from production.planning.solution import DAY
from production.planning.state import GivenMix
from production.planning.tape import record
from production.planning.walk import OnTry, Price, ShouldStop, Walk

# Mixes of the same jug that a mix is dissolved into or topped up from: the nearest in time.
NEAREST = 6
# Working windows a mix is moved by at most.
FARTHEST_SHIFT = 6
# Moves that cannot be done are tried again; after so many in a row there is none.
MOST_VAIN = 300

Mixes = list[GivenMix]


def improve_by_moves(
    run: Run,
    *,
    tries: int,
    seed: int,
    price: Price | None = None,
    on_try: OnTry | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best run that so many moves on mixes find; `run` where they find no better.

    Parameters
    ----------
    price
        Mixes to count beside those of a run: what it changes of an old plan.
    on_try
        Called with every run that is played.
    should_stop
        Asked before each.
    """
    if not run.mixes:
        return run
    rng = random.Random(seed)
    walk = Walk(run, tries=tries, price=price, on_try=on_try, should_stop=should_stop)
    moves = _Moves(run, rng)
    tape = record(run.prepared, run.rule, run.offsets or None, moves.base)
    vain = 0
    while vain < MOST_VAIN and walk.goes_on():
        changed = moves.propose()
        if changed is None:
            vain += 1
            continue
        vain = 0
        if moves.offsets is moves.run.offsets:
            played = tape.replay(changed)
        else:
            played = simulate(run.prepared, run.rule, offsets=moves.offsets, given=changed)
        if walk.judge(played):
            moves.look_at(walk.here)
            if walk.here.offsets == tape.run.offsets:
                tape = tape.again(moves.base)
            else:
                tape = record(run.prepared, run.rule, walk.here.offsets or None, moves.base)
    return walk.best


class _Moves:
    """Moves from one run: `propose` gives changed mixes, and `offsets` what to play them with."""

    def __init__(self, run: Run, rng: random.Random) -> None:
        self.prepared, self.rng = run.prepared, rng
        self.rooms = Rooms(run.prepared)
        self.windows = [window.start for window in run.prepared.calendar.windows]
        lines = run.prepared.problem.lines
        self.not_before = [lines[unit.line].not_before for unit in run.prepared.units]
        self.kinds: Sequence[Callable[[], Mixes | None]] = (
            self.dissolve,
            self.merge,
            self.top_up,
            self.shift,
            self.swap,
            self.let_go,
            self.hurry,
        )
        self.look_at(run)

    def look_at(self, run: Run) -> None:
        """Make moves from this run."""
        self.run, self.mixes, self.base = run, run.mixes, run.given_mixes()
        self.offsets: Sequence[int] = run.offsets
        self.of_jug: dict[int, list[int]] = defaultdict(list)
        self.in_use = CopiesInUse(run)
        for number, mix in enumerate(self.mixes):
            self.of_jug[mix.jug].append(number)
        self.late = late_lines(run)

    def propose(self) -> Mixes | None:
        """One move, or None where the one that was drawn cannot be done."""
        self.offsets = self.run.offsets
        changed = self.rng.choice(self.kinds)()
        return None if changed is None else [self._when_its_lines_may(mix) for mix in changed]

    def dissolve(self) -> Mixes | None:
        """Put the pieces of a mix into others of its jug."""
        place = self._rather_empty()
        mix = self.mixes[place]
        changed = list(self.base)
        for unit, pieces in mix.takes:
            for host in self._neighbours(place):
                takes = changed[host].takes
                free = partial(self._copies_for, place=host)
                more = min(pieces, self.rooms.most_more(mix.jug, takes, unit, free))
                if more > 0:
                    changed[host] = GivenMix(
                        changed[host].not_before, mix.jug, with_pieces(takes, unit, more)
                    )
                    pieces -= more
                if pieces == 0:
                    break
            if pieces:
                return None
        del changed[place]
        return changed

    def merge(self) -> Mixes | None:
        """Pour two mixes of a jug as one, at the hour of either; what does not fit stays behind."""
        place = self._rather_empty()
        mix = self.mixes[place]
        for host in self._neighbours(place)[:3]:
            takes, left = self.mixes[host].takes, mix.takes
            for unit, pieces in mix.takes:
                more = min(pieces, self.rooms.most_more(mix.jug, takes, unit))
                if more > 0:
                    takes, left = with_pieces(takes, unit, more), with_pieces(left, unit, -more)
            if left == mix.takes:
                continue
            hours = [self.mixes[host].start, mix.start]
            self.rng.shuffle(hours)
            changed = list(self.base)
            changed[host] = GivenMix(hours[0], mix.jug, takes)
            changed[place] = GivenMix(hours[1], mix.jug, left)
            if not left:
                del changed[place]
            return changed
        return None

    def top_up(self) -> Mixes | None:
        """Take pieces into a mix from another of its jug."""
        place = self._rather_empty()
        mix = self.mixes[place]
        for donor in self._neighbours(place):
            unit, pieces = self.rng.choice(self.mixes[donor].takes)
            free = partial(self._copies_for, place=place)
            more = min(pieces, self.rooms.most_more(mix.jug, mix.takes, unit, free))
            if more <= 0:
                continue
            changed = list(self.base)
            changed[place] = GivenMix(mix.start, mix.jug, with_pieces(mix.takes, unit, more))
            left = with_pieces(self.mixes[donor].takes, unit, -more)
            changed[donor] = GivenMix(self.mixes[donor].start, mix.jug, left)
            if not left:
                del changed[donor]
            return changed
        return None

    def shift(self) -> Mixes | None:
        """Move a mix to another working window."""
        place = self.rng.randrange(len(self.mixes))
        mix = self.mixes[place]
        now = bisect_right(self.windows, mix.start) - 1
        first = max(0, now - FARTHEST_SHIFT)
        window = self.rng.randrange(first, min(len(self.windows), now + FARTHEST_SHIFT + 1))
        changed = list(self.base)
        changed[place] = GivenMix(self.windows[window], mix.jug, mix.takes)
        return changed

    def swap(self) -> Mixes | None:
        """Let a mix and one of the next few change places."""
        if len(self.mixes) < 2:
            return None
        place = self.rng.randrange(len(self.mixes) - 1)
        other = min(len(self.mixes) - 1, place + self.rng.randrange(1, 5))
        changed = list(self.base)
        first, second = changed[place], changed[other]
        changed[place] = GivenMix(second.not_before, first.jug, first.takes)
        changed[other] = GivenMix(first.not_before, second.jug, second.takes)
        return changed

    def let_go(self) -> Mixes | None:
        """Forget the mixes of a jug around an hour, so that the list rule composes them anew."""
        mix = self.rng.choice(self.mixes)
        span = self.rng.choice((1, 2, 4, 7)) * DAY
        return [
            other for other in self.base if other.jug != mix.jug or abs(other.not_before - mix.start) > span
        ]

    def hurry(self) -> Mixes | None:
        """Pour a mix of a late line earlier and let others wait for it, or make the line more urgent."""
        if not self.late:
            return None
        line = self.rng.choice(self.late)
        if self.rng.random() < 0.3:
            offsets = list(self.run.offsets) or [0] * len(self.prepared.problem.lines)
            offsets[line] -= round(self.rng.uniform(0.1, 2) * DAY)
            self.offsets = offsets
            return list(self.base)
        units = self.prepared.units_of.get(line, [])
        its = [place for place, mix in enumerate(self.mixes) if any(unit in units for unit, _ in mix.takes)]
        if not its:
            return None
        place = self.rng.choice(its)
        mix = self.mixes[place]
        earlier = self.rng.choice((60, 600, DAY, 2 * DAY, 4 * DAY))
        wait = self.rng.choice((120, DAY))
        changed = list(self.base)
        for number, other in enumerate(self.mixes):
            if mix.start - earlier <= other.start <= mix.start and self.rng.random() < 0.5:
                changed[number] = GivenMix(other.start + wait, other.jug, other.takes)
        changed[place] = GivenMix(max(0, mix.start - earlier), mix.jug, mix.takes)
        return changed

    def _when_its_lines_may(self, mix: GivenMix) -> GivenMix:
        """The mix, no earlier than all of its lines may be poured."""
        not_before = max((self.not_before[unit] for unit, _ in mix.takes), default=0)
        return mix if not_before <= mix.not_before else GivenMix(not_before, mix.jug, mix.takes)

    def _rather_empty(self) -> int:
        """The emptiest of three mixes."""
        drawn = [self.rng.randrange(len(self.mixes)) for _ in range(3)]
        return min(
            drawn, key=lambda place: self.rooms.fullness(self.mixes[place].jug, self.mixes[place].takes)
        )

    def _neighbours(self, place: int) -> list[int]:
        """The mixes of the same jug that are nearest in time, in any order."""
        mix = self.mixes[place]
        others = [other for other in self.of_jug[mix.jug] if other != place]
        others.sort(key=lambda other: abs(self.mixes[other].start - mix.start))
        nearest = others[:NEAREST]
        self.rng.shuffle(nearest)
        return nearest

    def _copies_for(self, mould: int, place: int) -> int:
        """Copies that a mix could use from its start until they are back, its own among them."""
        mix = self.mixes[place]
        back = self.in_use.back_at(mix, mould)
        return self.rooms.copies[mould] - self.in_use.most(mould, mix.start, back, without=place)
