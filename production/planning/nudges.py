"""A walk over the urgency of lines: a few are nudged, the studio is played again, better is kept.

Where the urgency search lets every late line cry louder at once, this changes one or a few lines at a time
and may take back what did not help. Lines of one jug are given one urgency now and then, so that they
meet in one mix.
"""

import random
from collections import defaultdict

from production.planning.rooms import Rooms
from production.planning.simulate import Run, simulate
from production.planning.solution import DAY
from production.planning.walk import OnTry, Price, ShouldStop, Walk

NEAREST = 5


def improve_by_nudges(
    run: Run,
    *,
    tries: int,
    seed: int,
    price: Price | None = None,
    on_try: OnTry | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best run that so many nudges find; `run` where they find no better.

    Parameters and meaning as `moves.improve_by_moves`; mixes are composed by the list rule of `run`.
    """
    if not run.mixes:
        return run
    rng = random.Random(seed)
    walk = Walk(run, tries=tries, price=price, on_try=on_try, should_stop=should_stop)
    rooms = Rooms(run.prepared)
    while walk.goes_on():
        offsets = list(walk.here.offsets) or [0] * len(run.packed_at)
        drawn = rng.random()
        if drawn < 0.5:
            _bring_together(walk.here, offsets, rooms, rng)
        elif drawn < 0.8:
            for _ in range(rng.choice((1, 1, 2, 4))):
                offsets[rng.randrange(len(offsets))] += round(rng.uniform(-2, 2) * DAY)
        else:
            _hurry_or_calm(walk.here, offsets, rng)
        walk.judge(simulate(run.prepared, run.rule, offsets=offsets))
    return walk.best


def _bring_together(run: Run, offsets: list[int], rooms: Rooms, rng: random.Random) -> None:
    """Make the lines of a rather empty mix as urgent as the most urgent of a mix of its jug nearby."""
    of_jug: dict[int, list[int]] = defaultdict(list)
    for place, mix in enumerate(run.mixes):
        of_jug[mix.jug].append(place)
    drawn = [rng.randrange(len(run.mixes)) for _ in range(3)]
    chosen = min(drawn, key=lambda place: rooms.fullness(run.mixes[place].jug, run.mixes[place].takes))
    mix = run.mixes[chosen]
    others = [place for place in of_jug[mix.jug] if place != chosen]
    if not others:
        return
    others.sort(key=lambda place: abs(run.mixes[place].start - mix.start))
    units = run.prepared.units
    host = run.mixes[rng.choice(others[:NEAREST])]
    urgency = min(units[unit].latest_pour + offsets[units[unit].line] for unit, _ in host.takes)
    for unit, _ in mix.takes:
        offsets[units[unit].line] = urgency - units[unit].latest_pour + rng.choice((0, 1, 60))


def _hurry_or_calm(run: Run, offsets: list[int], rng: random.Random) -> None:
    """Make a late line more urgent; where none is late, halve what one was nudged by."""
    late = late_lines(run)
    if late:
        offsets[rng.choice(late)] -= round(rng.uniform(0.1, 2) * DAY)
    else:
        line = rng.randrange(len(offsets))
        offsets[line] = round(offsets[line] / 2)


def late_lines(run: Run) -> list[int]:
    """The lines that are late or not packed."""
    lines = run.prepared.problem.lines
    return [
        number
        for number, (line, packed_at) in enumerate(zip(lines, run.packed_at, strict=True))
        if packed_at is None or packed_at > line.ship_by
    ]
