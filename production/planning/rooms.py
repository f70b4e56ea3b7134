"""What one mix of a jug has room for, whatever the hour: its working time, the jug, the copies there are."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from production.planning.prepare import Prepared
from production.planning.streams import Takes

# Fullness is asked of the same mixes again and again; of so many it is remembered.
MOST_KNOWN = 50_000


@dataclass(slots=True)
class Used:
    """What the pieces of a mix take; thousandths of minutes, milligrams of slurry, copies by mould."""

    fill_milliminutes: int = 0
    slurry_mg: int = 0
    opening_milliminutes: int = 0
    copies: Counter[int] = field(default_factory=Counter)


class Rooms:
    """The rooms of all jugs of a problem."""

    def __init__(self, prepared: Prepared) -> None:
        self._prepared = prepared
        longest = prepared.calendar.longest_minutes
        self._fill = [
            1000 * min(jug.working_minutes, longest - jug.weigh_and_mix_minutes - jug.clean_up_minutes)
            for jug in prepared.jugs
        ]
        self._opening = longest * 1000
        self.copies = [mould.copies for mould in prepared.problem.moulds]
        self._known: dict[tuple[int, Takes], float] = {}

    def used(self, takes: Takes) -> Used:
        """What pieces take of a mix."""
        used = Used()
        for unit, pieces in takes:
            stream = self._prepared.streams[self._prepared.units[unit].stream]
            used.fill_milliminutes += stream.takes.fill_milliminutes * pieces
            used.slurry_mg += stream.takes.slurry_mg * pieces
            used.opening_milliminutes += stream.takes.opening_milliminutes * pieces
            for mould, needed in stream.needs:
                used.copies[mould] += needed * pieces
        return used

    def most_more(self, jug: int, takes: Takes, unit: int, free: Callable[[int], int] | None = None) -> int:
        """How many more pieces of a unit go into a mix of `takes`.

        `free` says how many copies of a mould are there for the whole mix; without it, all are.
        """
        used = self.used(takes)
        stream = self._prepared.streams[self._prepared.units[unit].stream]
        most = min(
            (self._fill[jug] - used.fill_milliminutes) // stream.takes.fill_milliminutes,
            (self._prepared.jugs[jug].holds_mg - used.slurry_mg) // stream.takes.slurry_mg,
            (self._opening - used.opening_milliminutes) // stream.takes.opening_milliminutes,
        )
        for mould, needed in stream.needs:
            if most <= 0:
                return 0
            copies = self.copies[mould] if free is None else free(mould)
            most = min(most, (copies - used.copies[mould]) // needed)
        return max(0, most)

    def fullness(self, jug: int, takes: Takes) -> float:
        """How full a mix is, 0 to 1: of the jug or of the working time, whichever is fuller."""
        known = self._known.get((jug, takes))
        if known is None:
            used = self.used(takes)
            of_fill = used.fill_milliminutes / self._fill[jug]
            known = max(of_fill, used.slurry_mg / self._prepared.jugs[jug].holds_mg)
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            self._known[jug, takes] = known
        return known


def with_pieces(takes: Takes, unit: int, pieces: int) -> Takes:
    """A mix's pieces with some of a unit added (negative: taken away)."""
    counts = dict(takes)
    counts[unit] = counts.get(unit, 0) + pieces
    return tuple((unit, count) for unit, count in counts.items() if count > 0)
