"""The planner's front door: a problem in, the best plan found out."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from production.planning.effort import Effort, effort_for
from production.planning.plans import plan_of
from production.planning.portfolio import rules_for
from production.planning.prepare import Prepared, prepare
from production.planning.problem import Problem
from production.planning.reasons import explain
from production.planning.simulate import Run, simulate
from production.planning.solution import ALL_TRIES, STOPPED, WALL_LIMIT, Plan, Score

ShouldStop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Progress:
    """What is under way: tries done of all tries of a stage, and the best score so far."""

    stage: str
    done: int
    of: int
    best: Score


OnProgress = Callable[[Progress], None]


def plan(
    problem: Problem,
    *,
    effort: Effort | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    wall_seconds: float | None = None,
) -> Plan:
    """Plan a problem: one stage of search after the other, the best kept, late lines explained.

    Parameters
    ----------
    effort
        Tries of each stage; None is what suits the size. The answer depends on the problem and on
        this only, unless the wall limit is met, which `Plan.ended` says.
    on_progress
        Called after each try.
    should_stop
        Asked after each try; when it answers True the best plan so far is returned.
    wall_seconds
        A safety net: no try is begun so long after the start (the first one always is).
    """
    prepared = prepare(problem)
    climb = _Climb(prepared, effort or effort_for(len(problem.lines)), on_progress, should_stop, wall_seconds)
    climb.up(())
    assert climb.best is not None
    found = replace(plan_of(climb.best), tries=climb.tries, ended=climb.ended)
    return explain(found, climb.best)


def search(
    prepared: Prepared,
    *,
    effort: Effort,
    starts: Sequence[Run] = (),
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best run that the stages find, never worse than any of `starts` (runs of the same problem)."""
    climb = _Climb(prepared, effort, on_progress, should_stop, None)
    climb.up(starts)
    assert climb.best is not None
    return climb.best


class _Climb:
    """The best run so far, and whether to go on."""

    def __init__(
        self,
        prepared: Prepared,
        effort: Effort,
        on_progress: OnProgress | None,
        should_stop: ShouldStop | None,
        wall_seconds: float | None,
    ) -> None:
        self.prepared, self.effort = prepared, effort
        self.on_progress, self.asked_to_stop = on_progress, should_stop
        self.ends_at = None if wall_seconds is None else time.monotonic() + wall_seconds
        self.best: Run | None = None
        self.tries = 0
        self.ended = ALL_TRIES

    def up(self, starts: Sequence[Run]) -> None:
        """All stages."""
        for run in starts:
            self.keep(run)
        rules = rules_for(len(self.prepared.problem.lines))[: self.effort.rules]
        for done, rule in enumerate(rules, start=1):
            self.tried(simulate(self.prepared, rule), "rules", done, len(rules))
            if self.should_stop():
                return

    def keep(self, run: Run) -> None:
        """Keep a run if it is the best so far."""
        # A plan that keeps the pins comes before any that does not.
        if self.best is None or (run.missed_pins, run.score) < (self.best.missed_pins, self.best.score):
            self.best = run

    def tried(self, run: Run, stage: str, done: int, of: int) -> None:
        """Count a try, keep it if it is the best, and tell."""
        self.keep(run)
        self.tries += 1
        if self.on_progress is not None and self.best is not None:
            self.on_progress(Progress(stage, done, of, self.best.score))

    def should_stop(self) -> bool:
        """Whether somebody asked to stop or the wall limit is met."""
        if self.asked_to_stop is not None and self.asked_to_stop():
            self.ended = STOPPED
        elif self.ends_at is not None and time.monotonic() >= self.ends_at:
            self.ended = WALL_LIMIT
        return self.ended != ALL_TRIES
