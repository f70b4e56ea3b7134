"""Plans begun from the lines that are best let be late, when there is more to do than hands can.

A list rule that takes all lines as they are due is a little late with everything. `overload.py` says which
lines cost least to be let be late, and for how long: they are given those days, all others their ship-by,
and the list rules play that. A plan has more and emptier mixes than the bound reckons with and waits at
times, so hands are reckoned to have some hundredths fewer hours than they do.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from production.planning.demands import Demands, demands_of
from production.planning.list_rule import ListRule
from production.planning.overload import overload
from production.planning.prepare import Prepared
from production.planning.simulate import Run, simulate
from production.planning.solution import DAY
from production.planning.turns import Earliest

# Work is reckoned so many times as long; in the order of what tends to be best.
PRESSURES = (1.2, 1.1, 1.15, 1.3, 1.05, 1.4)


def runs_from_overload(
    prepared: Prepared, rules: Sequence[ListRule], *, pressures: int, should_stop: Callable[[], bool]
) -> Iterator[Run]:
    """The list rules played with the lines late that overload lets be late, under so many pressures."""
    demands = demands_of(Earliest(prepared))
    for pressure in PRESSURES[:pressures]:
        if should_stop():
            return
        late_days = overload(pressed(demands, pressure)).late_days
        offsets = [DAY * late_days.get(line, 0) for line in range(len(prepared.problem.lines))]
        for rule in rules if any(offsets) else ():
            yield simulate(prepared, rule, offsets=offsets)
            if should_stop():
                return


def pressed(demands: Demands, pressure: float) -> Demands:
    """The demands with hands that have so many times fewer hours."""
    return replace(
        demands,
        limits=[
            replace(limit, room=[[room / pressure for room in rooms] for rooms in limit.room])
            if limit.hands
            else limit
            for limit in demands.limits
        ],
    )
