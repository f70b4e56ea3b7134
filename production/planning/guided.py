"""A fresh start from what the solver would have late, when it looks for bounds.

The aggregated model is too coarse to be played as it is, but it chooses well which lines to let be late for
the sake of others: those lines are given their days, all others their ship-by, and the list rules
play that. From the best of them the urgency of lines is nudged as usual.
"""

from collections.abc import Mapping

from production.planning.nudges import improve_by_nudges
from production.planning.portfolio import rules_for
from production.planning.simulate import Run, simulate
from production.planning.solution import DAY
from production.planning.turns import NEVER
from production.planning.walk import OnTry, Price, ShouldStop, key_of


def improve_by_guide(
    run: Run,
    late_days: Mapping[int, int],
    *,
    tries: int,
    seed: int,
    price: Price | None = None,
    on_try: OnTry | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best of `run` and of so many tries that begin with lines late by `late_days` (by number).

    Where nothing is to be late, the nudges go on from `run`. The other parameters are those of
    `nudges.improve_by_nudges`.
    """
    offsets = [0] * len(run.packed_at)
    for line, days in late_days.items():
        offsets[line] = DAY * days if days < NEVER else 0
    start: Run | None = None
    for rule in rules_for(len(offsets))[:tries] if any(offsets) else ():
        if should_stop is not None and should_stop():
            tries = 0
            break
        played = simulate(run.prepared, rule, offsets=offsets)
        tries -= 1
        if on_try is not None:
            on_try(played)
        if start is None or key_of(played, price) < key_of(start, price):
            start = played
    nudged = improve_by_nudges(
        start or run, tries=tries, seed=seed, price=price, on_try=on_try, should_stop=should_stop
    )
    return min(run, nudged, key=lambda one: key_of(one, price))
