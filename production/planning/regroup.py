"""Grouping the pieces of one jug anew: into the fewest of its mixes, exactly.

Once lateness is settled, the mixes of a compound in a colour are places in time that its pieces may be
poured in. Which of them are needed is a small packing problem: no piece is poured later than its line can
bear or than it is now, no mix holds more than working time, jug and window allow, and at no minute
are more copies in use than there are beside the other jugs' mixes. The solver proves the least number of
places; the studio is then played with them, and what it says counts.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any

from production.planning.copies_in_use import CopiesInUse
from production.planning.rooms import Rooms
from production.planning.simulate import Run
from production.planning.state import GivenMix
from production.planning.tape import record
from production.planning.walk import OnTry, Price, ShouldStop, key_of

# Every round goes through all jugs; what one gives back another may use in the next.
MOST_ROUNDS = 4
# So many mixes of a jug at once, neighbours in time: a smaller change disturbs the others less.
STRETCHES = (16, 8)


def regroup(
    run: Run,
    *,
    tries: int,
    seconds: float,
    price: Price | None = None,
    on_try: OnTry | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The run with the mixes of each jug grouped into fewer, where playing it says that it is better.

    Parameters
    ----------
    tries
        Most groupings to ask the solver for.
    seconds
        The solver's deterministic seconds for one grouping.
    price, on_try, should_stop
        As for `moves.improve_by_moves`.
    """
    best, best_key = run, key_of(run, price)
    tape = record(run.prepared, run.rule, run.offsets or None, run.given_mixes())
    for _ in range(MOST_ROUNDS):
        before = best_key
        for length, jug in product(STRETCHES, sorted({mix.jug for mix in best.mixes})):
            first = 0
            while len(mixes := _mixes_of(best, jug)) - first >= 2:
                if tries <= 0 or (should_stop is not None and should_stop()):
                    return best
                tries -= 1
                grouped = _Grouping(best, jug, mixes[first : first + length]).fewest(seconds)
                first += max(1, length // 2) if len(mixes) - first > length else len(mixes)
                if grouped is None:
                    continue
                played = tape.replay(grouped)
                if on_try is not None:
                    on_try(played)
                if key_of(played, price) < best_key:
                    best, best_key = played, key_of(played, price)
                    tape = tape.again(best.given_mixes())
        if best_key == before:
            break
    return best


def _mixes_of(run: Run, jug: int) -> list[int]:
    return [number for number, mix in enumerate(run.mixes) if mix.jug == jug]


class _Grouping:
    """The pieces of some mixes of one jug, and these mixes as the places they may be poured in."""

    def __init__(self, run: Run, jug: int, numbers: Sequence[int]) -> None:
        self.run, self.jug, self.prepared = run, jug, run.prepared
        self.rooms = Rooms(run.prepared)
        self.in_use = CopiesInUse(run)
        self.numbers = numbers
        self.places = [run.mixes[number] for number in self.numbers]
        self.pieces: dict[int, int] = defaultdict(int)
        self.latest: dict[int, int] = {}
        # A fuller mix takes longer to fill and to open than the one its latest pour was reckoned with.
        longer = 2 * self.prepared.jugs[jug].working_minutes
        for mix in self.places:
            for unit, pieces in mix.takes:
                self.pieces[unit] += pieces
                bearable = self.prepared.units[unit].latest_pour - longer
                self.latest[unit] = max(mix.start, bearable, self.latest.get(unit, 0))

    def fewest(self, seconds: float) -> list[GivenMix] | None:
        """All mixes of the run with those of the jug grouped into fewer; None where none fewer are found."""
        from ortools.sat.python import cp_model

        if len(self.places) < 2:
            return None
        model = cp_model.CpModel()
        used = [model.new_bool_var(f"used {slot}") for slot in range(len(self.places))]
        poured = {
            (slot, unit): model.new_int_var(0, self._most(slot, unit), f"poured {slot} {unit}")
            for slot in range(len(self.places))
            for unit in self.pieces
        }
        for unit, pieces in self.pieces.items():
            model.add(sum(poured[slot, unit] for slot in range(len(self.places))) == pieces)
        for slot in range(len(self.places)):
            self._bound_mix(model, slot, used[slot], poured)
        self._bound_copies(model, poured)
        model.add(sum(used) < len(self.places))
        # Of groupings into as few mixes, the one that leaves most pieces where they are.
        moved = sum(
            count for (slot, unit), count in poured.items() if unit not in dict(self.places[slot].takes)
        )
        model.minimize((1 + sum(self.pieces.values())) * sum(used) + moved)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = seconds
        if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return self._given({key: solver.value(count) for key, count in poured.items()})

    def _most(self, slot: int, unit: int) -> int:
        """Most pieces of a unit in a place: none where its line cannot bear the hour."""
        start = self.places[slot].start
        line = self.prepared.problem.lines[self.prepared.units[unit].line]
        if start > self.latest[unit] or start < line.not_before:
            return 0
        return min(self.pieces[unit], self.rooms.most_more(self.jug, (), unit))

    def _bound_mix(self, model: Any, slot: int, used: Any, poured: Mapping[tuple[int, int], Any]) -> None:
        """A mix holds what working time, the hours before closing, the jug and a day's opening allow."""
        jug, mix = self.prepared.jugs[self.jug], self.places[slot]
        closing = self.prepared.calendar.closing_at(mix.start)
        hands = closing - mix.start - jug.weigh_and_mix_minutes - jug.clean_up_minutes
        each = {unit: self.prepared.streams[self.prepared.units[unit].stream].takes for unit in self.pieces}
        its = {unit: poured[slot, unit] for unit in self.pieces}
        fill = sum(each[unit].fill_milliminutes * count for unit, count in its.items())
        model.add(fill <= 1000 * min(jug.working_minutes, hands) * used)
        model.add(sum(each[unit].slurry_mg * count for unit, count in its.items()) <= jug.holds_mg * used)
        opening = sum(each[unit].opening_milliminutes * count for unit, count in its.items())
        model.add(opening <= 1000 * self.prepared.calendar.longest_minutes * used)

    def _bound_copies(self, model: Any, poured: Mapping[tuple[int, int], Any]) -> None:
        """Whenever a mix takes copies of a mould, all that is in use then is no more than there is."""
        needs = {
            unit: dict(self.prepared.streams[self.prepared.units[unit].stream].needs) for unit in self.pieces
        }
        for mould in sorted({mould for needed in needs.values() for mould in needed}):
            units = [unit for unit in self.pieces if mould in needs[unit]]
            others = [
                (start, back, copies)
                for start, back, copies, number in self.in_use.stretches[mould]
                if number not in self.numbers
            ]
            starts = {mix.start for mix in self.places} | {start for start, _, _ in others if start >= 0}
            for minute in sorted(starts):
                covering = [
                    slot
                    for slot, mix in enumerate(self.places)
                    if mix.start <= minute < self.in_use.back_at(mix, mould)
                ]
                if covering:
                    there = self.rooms.copies[mould] - sum(
                        copies for start, back, copies in others if start <= minute < back
                    )
                    taken = sum(
                        needs[unit][mould] * poured[slot, unit] for slot in covering for unit in units
                    )
                    model.add(taken <= max(0, there))

    def _given(self, poured: Mapping[tuple[int, int], int]) -> list[GivenMix]:
        given = self.run.given_mixes()
        for slot, number in enumerate(self.numbers):
            its = {unit: poured[slot, unit] for unit in self.pieces if poured[slot, unit]}
            before = [(unit, its.pop(unit)) for unit, _ in self.places[slot].takes if unit in its]
            given[number] = GivenMix(self.places[slot].start, self.jug, (*before, *sorted(its.items())))
        return [mix for mix in given if mix.takes]
