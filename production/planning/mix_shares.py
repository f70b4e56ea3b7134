"""Shares of a mix that pieces take at least, so that any mix holds pieces of at most one whole share.

A mix has to be weighed and its jug cleaned however full it is. With a share for each stream such that no
mix that fits a jug, its working time and its copies holds more than 1 in all, so many pieces need as many
mixes as their shares add up to. The best such shares are the dual prices of cutting pieces from mixes.

Source: P. C. Gilmore and R. E. Gomory, A Linear Programming Approach to the Cutting-Stock Problem, Operations
Research 9 (1961) 849-859 (from memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from production.planning.measures import NOISE
from production.planning.prepare import Prepared

# Of a jug with so many kinds of mixes that this many steps do not find its fullest, the shares are simpler.
MOST_STEPS = 20_000
MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Room:
    """What a mix has room for, by resource, and what one piece of each stream takes of each."""

    holds: tuple[int, ...]
    takes: Mapping[int, tuple[int, ...]]
    pieces: Mapping[int, int]

    def most(self, stream: int, left: Sequence[int]) -> int:
        """The most pieces of a stream that fit what is left."""
        fits = (room // each for room, each in zip(left, self.takes[stream], strict=True) if each)
        return max(0, min(fits, default=self.pieces[stream]))


def room_of(prepared: Prepared, jug_number: int) -> Room:
    """The room of a mix of a jug: filling, slurry, opening and the copies of each mould."""
    jug, longest = prepared.jugs[jug_number], prepared.calendar.longest_minutes
    pieces = {
        stream: sum(prepared.units[unit].pieces for unit in prepared.streams[stream].units)
        for stream in jug.streams
    }
    pieces = {stream: count for stream, count in pieces.items() if count}
    moulds = sorted({mould for stream in pieces for mould, _ in prepared.streams[stream].needs})
    filling = min(jug.working_minutes, longest - jug.weigh_and_mix_minutes - jug.clean_up_minutes)
    takes = {}
    for stream in pieces:
        of_piece, copies = prepared.streams[stream].takes, dict(prepared.streams[stream].needs)
        in_mix = (of_piece.fill_milliminutes, of_piece.slurry_mg, of_piece.opening_milliminutes)
        takes[stream] = (*in_mix, *(copies.get(mould, 0) for mould in moulds))
    copies_of = (prepared.problem.moulds[mould].copies for mould in moulds)
    return Room((1000 * filling, jug.holds_mg, 1000 * longest, *copies_of), takes, pieces)


def shares_of_mix(prepared: Prepared, jug_number: int) -> dict[int, float]:
    """By stream of a jug, the share of a mix that one piece takes at least."""
    room = room_of(prepared, jug_number)
    return _best_shares(room) or simple_shares(room)


def simple_shares(room: Room) -> dict[int, float]:
    """Shares by the one resource that most mixes are needed for."""

    def shares(place: int) -> dict[int, float]:
        return {stream: takes[place] / room.holds[place] for stream, takes in room.takes.items()}

    def mixes(place: int) -> float:
        return sum(room.pieces[stream] * share for stream, share in shares(place).items())

    places = [place for place, holds in enumerate(room.holds) if holds > 0]
    return shares(max(places, key=mixes)) if room.pieces and places else {}


def _best_shares(room: Room) -> dict[int, float]:
    """The shares that ask for most mixes (none: not found in time), found mix by mix that is too full."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    share_of = {stream: solver.NumVar(0, 1, str(stream)) for stream in sorted(room.pieces)}
    solver.Maximize(solver.Sum([room.pieces[stream] * share for stream, share in share_of.items()]))
    for stream, share in share_of.items():
        solver.Add(room.most(stream, room.holds) * share <= 1)
    for _ in range(MOST_ROUNDS):
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return {}
        shares = {stream: max(0.0, share.solution_value()) for stream, share in share_of.items()}
        fullest = fullest_mix(room, shares)
        if fullest is None:
            return {}
        holds = sum(shares[stream] * count for stream, count in fullest.items())
        if holds <= 1 + NOISE:
            return {stream: share / max(1.0, holds) for stream, share in shares.items()}
        solver.Add(solver.Sum([count * share_of[stream] for stream, count in fullest.items()]) <= 1)
    return {}


def fullest_mix(room: Room, shares: Mapping[int, float]) -> dict[int, int] | None:
    """The pieces by stream of the mix that holds most shares; None when that takes too many steps."""
    ratio = [
        {stream: shares[stream] / takes[place] for stream, takes in room.takes.items() if takes[place]}
        for place in range(len(room.holds))
    ]
    order = sorted(room.pieces, key=lambda stream: (-shares[stream] * room.most(stream, room.holds), stream))
    best, found, steps = 0.0, dict[int, int](), 0

    def could_add(place: int, left: Sequence[int]) -> float:
        """More than what is left can add: each resource alone, in fractions."""
        rest = order[place:]
        bounds = [
            room_left * max(ratio[resource][stream] for stream in rest)
            for resource, room_left in enumerate(left)
            if all(stream in ratio[resource] for stream in rest)
        ]
        return min(bounds, default=float("inf"))

    def look(place: int, left: Sequence[int], holds: float, taken: Mapping[int, int]) -> None:
        nonlocal best, found, steps
        steps += 1
        if holds > best:
            best, found = holds, dict(taken)
        if place == len(order) or steps > MOST_STEPS or holds + could_add(place, left) <= best:
            return
        stream = order[place]
        for count in range(min(room.pieces[stream], room.most(stream, left)), -1, -1):
            rest = [has - count * each for has, each in zip(left, room.takes[stream], strict=True)]
            look(place + 1, rest, holds + count * shares[stream], {**taken, stream: count})

    look(0, room.holds, 0.0, {})
    return found if steps <= MOST_STEPS else None
