"""A walk from plan to plan: late acceptance, shared by the searches that change a plan a little at a time.

A plan is walked on to when it is no worse than the one the walk is at, or than the one it was at some
tries ago, so that it can leave a dead end; after many tries without gain it goes back to the best. The best
is kept by the planner's own order and is the answer, whatever way the walk takes.

Source: E. K. Burke and Y. Bykov, The late acceptance hill-climbing heuristic, European Journal of
Operational Research 258 (2017) 70-78 (from memory).
"""

from collections.abc import Callable

from production.planning.rooms import Rooms
from production.planning.simulate import Run
from production.planning.solution import DAY

ShouldStop = Callable[[], bool]
OnTry = Callable[[Run], None]
# What a run costs beside its score, in mixes: what it changes of an old plan.
Price = Callable[[Run], float]

MEMORY = 40
PATIENCE = 600
# The walk's own measure, in mixes: a missed pin is never worth it, one lateness point is worth one mix.
# Full mixes beside nearly empty ones are better than mixes all half full: one of them goes soon.
PIN_COST = 1e6
FULLNESS_WORTH = 0.5
EARLY_DAY_COST = 1e-4

Key = tuple[int, float, float, int]


def key_of(run: Run, price: Price | None = None) -> Key:
    """What plans are compared by, less is better: missed pins, points, mixes with their price, early."""
    mixes = run.score.mixes + (price(run) if price is not None else 0)
    return run.missed_pins, run.score.points, mixes, run.score.early_piece_minutes


class Walk:
    """Where a walk is, what it has seen best, and which plans it takes next."""

    def __init__(
        self,
        start: Run,
        *,
        tries: int,
        price: Price | None = None,
        on_try: OnTry | None = None,
        should_stop: ShouldStop | None = None,
    ) -> None:
        self.tries_left = tries
        self.here = self.best = start
        self._price, self._on_try, self._should_stop = price, on_try, should_stop
        self._rooms = Rooms(start.prepared)
        self._best_key = key_of(start, price)
        self._here_cost = self._cost(start)
        self._costs = [self._here_cost] * MEMORY
        self._without_gain = 0

    def goes_on(self) -> bool:
        """Whether there are tries left and nobody asked to stop."""
        return self.tries_left > 0 and not (self._should_stop is not None and self._should_stop())

    def judge(self, run: Run) -> bool:
        """Count a try; whether the walk goes on from this run (`here`)."""
        self.tries_left -= 1
        if self._on_try is not None:
            self._on_try(run)
        cost, place = self._cost(run), self.tries_left % MEMORY
        taken = cost <= max(self._here_cost, self._costs[place])
        if taken:
            self.here, self._here_cost = run, cost
        self._costs[place] = min(self._costs[place], self._here_cost)
        key = key_of(run, self._price)
        self._without_gain += 1
        if key < self._best_key:
            self.best, self._best_key, self._without_gain = run, key, 0
        elif self._without_gain >= PATIENCE:
            self.here, self._here_cost, self._without_gain = self.best, self._cost(self.best), 0
            self._costs = [self._here_cost] * MEMORY
            return True
        return taken

    def _cost(self, run: Run) -> float:
        pins, points, mixes, early = key_of(run, self._price)
        fullness = sum(self._rooms.fullness(mix.jug, mix.takes) ** 2 for mix in run.mixes)
        return pins * PIN_COST + points + mixes - FULLNESS_WORTH * fullness + early / DAY * EARLY_DAY_COST
