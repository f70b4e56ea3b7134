"""The list rules that are tried, and the best of what they give."""

from collections.abc import Callable, Sequence

from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared
from production.planning.simulate import Run, simulate
from production.planning.solution import Score

DAY = 1440

# In the order of what tends to be best, so that stopping early costs little.
POUR_AHEAD_DAYS = (5, 10, 3, 40, 2, 1, 0.5)
LOOK_AHEAD_DAYS = (5, 2, 14, 0)
LEAST_FILLS = (0.0, 0.7)

GRID: tuple[ListRule, ...] = tuple(
    ListRule(round(ahead * DAY), look * DAY, least_fill)
    for least_fill in LEAST_FILLS
    for look in LOOK_AHEAD_DAYS
    for ahead in POUR_AHEAD_DAYS
)
# Above this many lines one simulation is slow enough that three rules must do.
MANY_LINES = 1000
FEW_RULES: tuple[ListRule, ...] = (
    ListRule(5 * DAY, 5 * DAY, 0.0),
    ListRule(10 * DAY, 14 * DAY, 0.0),
    ListRule(5 * DAY, 14 * DAY, 0.7),
)

OnProgress = Callable[[int, int, Score], None]
ShouldStop = Callable[[], bool]


def rules_for(line_count: int) -> tuple[ListRule, ...]:
    """The rules worth trying on so many lines."""
    return FEW_RULES if line_count > MANY_LINES else GRID


def best_of_rules(
    prepared: Prepared,
    rules: Sequence[ListRule],
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best run under any of `rules`; the first of equals.

    `on_progress(done, of, best_score)` is called after each try; `should_stop()` is asked
    between tries, and the best so far is the answer (at least one rule is always tried).
    """
    best: Run | None = None
    for done, rule in enumerate(rules, start=1):
        run = simulate(prepared, rule)
        # A plan that keeps the pins comes before any that does not.
        if best is None or (run.missed_pins, run.score) < (best.missed_pins, best.score):
            best = run
        if on_progress is not None:
            on_progress(done, len(rules), best.score)
        if should_stop is not None and should_stop():
            break
    if best is None:
        raise ValueError("At least one list rule must be tried.")
    return best
