"""A simulation that is remembered as it runs, so that one with other mixes need not begin at the start.

Before some windows the whole studio is copied. What is given after a minute has no part in what
is played before it, so a run with other given mixes is played from the last copy before the first
difference; and where it comes to have the same before it as the one that is remembered, its end is
that one's. It comes out exactly as if it had been played from the start.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heapify

from production.planning.begin import in_time_order, kept_for_given, open_studio
from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared
from production.planning.simulate import Run, nothing_left, play_window, run_of
from production.planning.snapshots import Snapshot, copy_of, finish_like
from production.planning.state import LINE_MAY_START, TRY_AGAIN, GivenMix, GivenNeeds, Studio

# More of them cost more memory, fewer more playing; this many are kept at any size.
MOST_SNAPSHOTS = 24


class Tape:
    """A run, and what is needed to play it again with other given mixes from where they differ."""

    def __init__(
        self, given: Sequence[GivenMix], left: Sequence[int], end: Studio, snapshots: Sequence[Snapshot]
    ) -> None:
        self.run = run_of(end)
        self._given = given
        self._left = left
        self._end = end
        self._snapshots = snapshots

    def replay(self, given: Sequence[GivenMix], changed_from: int | None = None) -> Run:
        """The run that `simulate` makes with the same rule and offsets and these given mixes.

        Played from before the first difference until what is left to do is the same as on the tape.
        `changed_from`: a minute before which nothing is kept even if the mixes are alike until later.
        """
        begun = self._begin(given, changed_from)
        studio, windows = begun.studio, self.run.prepared.calendar.windows
        alike = {
            snapshot.window: snapshot
            for snapshot in self._snapshots
            if snapshot.window > begun.window and snapshot.left == begun.left == self._left
        }
        for number in range(begun.window, len(windows)):
            if nothing_left(studio):
                break
            if number in alike and alike[number].is_like(studio, self._end.given, self._end):
                finish_like(studio, alike[number], self._end)
                break
            play_window(studio, windows[number])
        return run_of(studio)

    def again(self, given: Sequence[GivenMix]) -> "Tape":
        """The tape of that run: as `record`, but played from where the mixes differ."""
        begun = self._begin(given, None)
        before = [snapshot for snapshot in self._snapshots if snapshot.window < begun.window]
        return _play_on(begun, before)

    def _begin(self, given: Sequence[GivenMix], changed_from: int | None) -> "_Begun":
        """The studio with other given mixes, before the first window that a difference reaches."""
        prepared, mixes = self.run.prepared, in_time_order(given)
        first, minute = _first_difference(self._given, mixes)
        if changed_from is not None:
            minute = min(minute, changed_from)
        kept, left = kept_for_given(prepared, self._end.unit_urgency, mixes)
        start = self._snapshot_before(minute, left, alike=first == len(mixes) == len(self._given))
        if start is None:
            studio = open_studio(prepared, self.run.rule, self.run.offsets or None, given)
            return _Begun(studio, 0, mixes, left)
        studio = copy_of(start.studio)
        _give(studio, kept)
        _requeue(studio, _changed(start.left, left), left, prepared.calendar.windows[start.window].start)
        return _Begun(studio, start.window, mixes, left)

    def _snapshot_before(self, minute: float, left: Sequence[int], *, alike: bool) -> Snapshot | None:
        """The last copy that has met no difference: of mixes from `minute` on, or of what is left."""
        problem = self.run.prepared.problem
        if problem.pins and not alike:
            # Which pieces are kept for a pin depends on all given mixes.
            return None
        windows = self.run.prepared.calendar.windows
        for snapshot in reversed(self._snapshots):
            begins = windows[snapshot.window].start
            if begins <= minute and begins <= self._first_use(_changed(snapshot.left, left)):
                return snapshot
        return None

    def _first_use(self, units: Sequence[int]) -> float:
        """A minute before which no mix is composed with one of these units, nor looks at them."""
        rule = self.run.rule
        if not units:
            return float("inf")
        if rule.least_fill > 0:
            # Whether a mix waits to be fuller depends on whether anything is queued.
            return 0
        offsets = self.run.offsets
        prepared = self.run.prepared
        urgency = min(
            prepared.units[unit].latest_pour + (offsets[prepared.units[unit].line] if offsets else 0)
            for unit in units
        )
        return urgency - rule.pour_ahead_minutes - rule.look_ahead_minutes


@dataclass(frozen=True, slots=True)
class _Begun:
    """A studio before a window, the mixes it is given, and what is in none of them."""

    studio: Studio
    window: int
    mixes: Sequence[GivenMix]
    left: Sequence[int]


def record(
    prepared: Prepared,
    rule: ListRule,
    offsets: Sequence[int] | None = None,
    given: Sequence[GivenMix] = (),
) -> Tape:
    """Play the studio as `simulate` does, and remember how it went."""
    mixes = in_time_order(given)
    studio = open_studio(prepared, rule, offsets, given)
    return _play_on(_Begun(studio, 0, mixes, studio.left.copy()), [])


def _play_on(begun: _Begun, snapshots: list[Snapshot]) -> Tape:
    """Play a studio to its end, and remember it on the way."""
    studio = begun.studio
    windows = studio.prepared.calendar.windows
    every = -(-len(windows) // MOST_SNAPSHOTS)
    for number in range(begun.window, len(windows)):
        if nothing_left(studio):
            break
        if number % every == 0:
            snapshots.append(Snapshot(number, copy_of(studio), begun.left))
        play_window(studio, windows[number])
    return Tape(begun.mixes, begun.left, studio, snapshots)


def _first_difference(old: Sequence[GivenMix], new: Sequence[GivenMix]) -> tuple[int, float]:
    """Place of the first mix that is not the same in both, and the minute before which all are."""
    for place, (one, other) in enumerate(zip(old, new, strict=False)):
        if one is not other and one != other:
            return place, min(one.not_before, other.not_before)
    place = min(len(old), len(new))
    rest = [*old[place : place + 1], *new[place : place + 1]]
    return place, min((mix.not_before for mix in rest), default=float("inf"))


def _changed(old: Sequence[int], new: Sequence[int]) -> list[int]:
    if old == new:
        return []
    return [unit for unit, pieces in enumerate(new) if pieces != old[unit]]


def _give(studio: Studio, kept: list[GivenNeeds]) -> None:
    """Give a studio other mixes, all that have come up by now being its own."""
    streams = len(studio.queues)
    studio.given = kept
    # Whatever has not come up by now is told anew.
    untold = min((event[2] for event in studio.events if _is_of_given(event, streams)), default=None)
    untold = len(studio.tokens) if untold is None else untold
    studio.tokens = studio.tokens[:untold] + [0] * (streams + len(kept) - untold)
    studio.events = [event for event in studio.events if not _is_of_given(event, streams)]
    studio.events += [
        (given.mix.not_before, TRY_AGAIN, number, 0)
        for number, given in enumerate(kept[untold - streams :], start=untold)
    ]
    heapify(studio.events)


def _is_of_given(event: tuple[int, int, int, int], streams: int) -> bool:
    return event[1] == TRY_AGAIN and event[2] >= streams


def _requeue(studio: Studio, units: Sequence[int], left: Sequence[int], minute: int) -> None:
    """Queue other numbers of pieces of units that nothing has looked at before this minute."""
    prepared = studio.prepared
    for unit in units:
        stream = prepared.units[unit].stream
        queue = [entry for entry in studio.queues[stream] if entry[1] != unit]
        studio.events = [event for event in studio.events if event[1:3] != (LINE_MAY_START, unit)]
        studio.left[unit] = left[unit]
        may_start = prepared.problem.lines[prepared.units[unit].line].not_before
        if left[unit] > 0 and may_start > minute:
            studio.events.append((may_start, LINE_MAY_START, unit, 0))
        elif left[unit] > 0:
            queue.append((studio.unit_urgency[unit], unit))
        heapify(queue)
        studio.queues[stream] = queue
        studio.activate(stream)
    heapify(studio.events)
