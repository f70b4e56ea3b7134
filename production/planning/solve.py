"""The planner's front door: a problem in, the best plan found out, one stage of search after the other.

Each stage starts from the best so far and can only better it:

1. the portfolio of list rules (`portfolio.py`), again with those lines late that are best let be late
   (`overload_starts.py`);
2. the urgency of lines: of late ones and their rivals (`urgency.py`), then of any (`nudges.py`);
3. bounds: what no plan can beat (`bounds.py`);
4. the urgency of lines anew, from what the solver would have late (`guided.py`);
5. mixes of one jug grouped anew (`regroup.py`), moves on mixes (`moves.py`), and grouped once more.

Where lateness is at its bound, what is left of the tries of stage 2 goes to the moves; where mixes
are at theirs too, the plan is the best there is and the search ends.
"""

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from production.planning.bounds import prove
from production.planning.calm import Keep, changes, kept_of, replayed
from production.planning.effort import Effort, effort_for
from production.planning.guided import improve_by_guide
from production.planning.moves import improve_by_moves
from production.planning.nudges import improve_by_nudges
from production.planning.overload_starts import runs_from_overload
from production.planning.plans import plan_of
from production.planning.portfolio import rules_for
from production.planning.prepare import Prepared, prepare
from production.planning.problem import Problem
from production.planning.reasons import explain
from production.planning.regroup import regroup
from production.planning.simulate import Run, simulate
from production.planning.solution import ALL_TRIES, PROVEN, STOPPED, WALL_LIMIT, Bounds, Plan, Score
from production.planning.urgency import improve_by_urgency
from production.planning.walk import key_of
from production.planning.windows import solver_is_here

ShouldStop = Callable[[], bool]
# The solver's deterministic seconds for one grouping: more find next to nothing more.
GROUP_SECONDS = 0.02


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
    keep: Keep | None = None,
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
    keep
        The plan before this one: it is where the search starts, and changing its mixes has a price.
    on_progress
        Called after each try.
    should_stop
        Asked after each try; when it answers True the best plan so far is returned.
    wall_seconds
        A safety net: no try is begun so long after the start (the first one always is).
    """
    prepared = prepare(problem)
    climb = _Climb(
        prepared,
        effort or effort_for(len(problem.lines)),
        keep=keep,
        on_progress=on_progress,
        should_stop=should_stop,
        wall_seconds=wall_seconds,
    )
    best = climb.up(())
    found = replace(
        plan_of(best),
        bounds=climb.bounds,
        tries=climb.tries,
        ended=climb.ended,
        missing=climb.missing,
        kept_mixes=kept_of(keep, best) if keep is not None else (0, 0),
    )
    return explain(found, best)


def search(
    prepared: Prepared,
    *,
    effort: Effort,
    starts: Sequence[Run] = (),
    keep: Keep | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best run that the stages find, never worse than any of `starts` (runs of the same problem).

    The other parameters are those of `plan`.
    """
    climb = _Climb(prepared, effort, keep=keep, on_progress=on_progress, should_stop=should_stop)
    return climb.up(starts)


class _Climb:
    """The way up: the best run so far, and whether to go on."""

    def __init__(
        self,
        prepared: Prepared,
        effort: Effort,
        *,
        keep: Keep | None = None,
        on_progress: OnProgress | None = None,
        should_stop: ShouldStop | None = None,
        wall_seconds: float | None = None,
    ) -> None:
        self.prepared, self.effort, self.old = prepared, effort, keep
        self.on_progress, self.asked_to_stop = on_progress, should_stop
        self.ends_at = None if wall_seconds is None else time.monotonic() + wall_seconds
        self.price = None if keep is None else lambda run: changes(keep, run)
        self.found: list[Run] = []
        self.tries, self.spared = 0, 0
        self.ended, self.missing = ALL_TRIES, ""
        self.bounds: Bounds | None = None
        self.late_days: Mapping[int, int] = {}

    @property
    def best(self) -> Run:
        """The best run so far."""
        return self.found[0]

    def up(self, starts: Sequence[Run]) -> Run:
        """Go through all stages; the best run."""
        for run in starts:
            self.keep(run)
        stages = (
            self.rules,
            self.bound_by_counting,
            self.overload,
            self.urgency,
            self.nudges,
            self.bound,
            self.guided,
            self.groups,
            self.moves,
            self.groups,
        )
        for stage in stages:
            stage()
            if self.should_stop():
                break
        return self.best

    def rules(self) -> None:
        """The list rules of the portfolio, and the plan before this one."""
        if self.old is not None:
            self.keep(replayed(self.prepared, self.old))
        rules = rules_for(len(self.prepared.problem.lines))[: self.effort.rules]
        tell = self.telling("rules", len(rules))
        for rule in rules:
            tell(simulate(self.prepared, rule))
            if self.should_stop():
                return

    def overload(self) -> None:
        """The list rules with those lines late that are best let be late, where not all can be in time."""
        if self.effort.pressures == 0 or self.lateness_is_settled() or not self.has_solver():
            return
        rules = rules_for(len(self.prepared.problem.lines))[: self.effort.rules]
        tell = self.telling("overload", self.effort.pressures * len(rules))
        for run in runs_from_overload(
            self.prepared, rules, pressures=self.effort.pressures, should_stop=self.lateness_is_settled
        ):
            tell(run)

    def urgency(self) -> None:
        """Late lines made more urgent and rivals made to wait, as long as lateness is not at its bound."""
        before = self.tries
        improve_by_urgency(
            self.prepared,
            [self.best],
            tries=self.effort.urgency_tries,
            seed=self.effort.seed,
            price=self.price,
            on_try=self.telling("urgency", self.effort.urgency_tries),
            should_stop=self.lateness_is_settled,
        )
        self.spared += self.effort.urgency_tries - (self.tries - before)

    def nudges(self) -> None:
        """Lines nudged a few at a time, as long as lateness is not at its bound: half of the tries."""
        before = self.tries
        tries = self.effort.nudge_tries // 2
        improve_by_nudges(
            self.best,
            tries=tries,
            seed=self.effort.seed,
            price=self.price,
            on_try=self.telling("nudges", tries),
            should_stop=self.lateness_is_settled,
        )
        self.spared += tries - (self.tries - before)

    def bound_by_counting(self) -> None:
        """What counting alone proves that no plan can beat."""
        self.bounds = prove(self.prepared, self.best, deterministic_seconds=0).bounds

    def bound(self) -> None:
        """What the solver proves that no plan can beat."""
        if self.effort.bound_seconds > 0 and self.has_solver():
            proof = prove(
                self.prepared,
                self.best,
                deterministic_seconds=self.effort.bound_seconds,
                should_stop=self.should_stop,
            )
            self.bounds, self.late_days = proof.bounds, proof.late_days

    def guided(self) -> None:
        """Lines nudged from a fresh start: those late that the solver would have late; half of the tries."""
        before = self.tries
        tries = self.effort.nudge_tries - self.effort.nudge_tries // 2
        improve_by_guide(
            self.best,
            self.late_days,
            tries=tries,
            seed=self.effort.seed + 1,
            price=self.price,
            on_try=self.telling("guided", tries),
            should_stop=self.lateness_is_settled,
        )
        self.spared += tries - (self.tries - before)

    def groups(self) -> None:
        """The mixes of one jug after the other grouped anew, exactly."""
        if self.effort.group_tries == 0 or not self.has_solver():
            return
        regroup(
            self.best,
            tries=self.effort.group_tries,
            seconds=GROUP_SECONDS,
            price=self.price,
            on_try=self.telling("regroup", self.effort.group_tries),
            should_stop=self.should_stop,
        )

    def has_solver(self) -> bool:
        """Whether the solver is installed; notes when it is missing."""
        if not solver_is_here():
            self.missing = "ortools"
        return not self.missing

    def moves(self) -> None:
        """Moves on mixes, with the tries that were spared before."""
        tries = self.effort.move_tries + self.spared
        improve_by_moves(
            self.best,
            tries=tries,
            seed=self.effort.seed,
            price=self.price,
            on_try=self.telling("moves", tries),
            should_stop=self.should_stop,
        )

    def keep(self, run: Run) -> None:
        """Keep a run if it is the best so far."""
        if not self.found or key_of(run, self.price) < key_of(self.best, self.price):
            self.found = [run]

    def telling(self, stage: str, of: int) -> Callable[[Run], None]:
        """A function that counts a try of a stage, keeps it if it is the best, and tells."""
        begun_at = self.tries

        def tell(run: Run) -> None:
            self.keep(run)
            self.tries += 1
            if self.on_progress is not None:
                self.on_progress(Progress(stage, self.tries - begun_at, of, self.best.score))

        return tell

    def should_stop(self) -> bool:
        """Whether somebody asked to stop, the wall limit is met, or nothing can be better."""
        if self.asked_to_stop is not None and self.asked_to_stop():
            self.ended = STOPPED
        elif self.ends_at is not None and time.monotonic() >= self.ends_at:
            self.ended = WALL_LIMIT
        elif self.is_proven():
            self.ended = PROVEN
        return self.ended != ALL_TRIES

    def is_proven(self) -> bool:
        """Whether the best run reaches both bounds (with no pin missed and no old plan to keep)."""
        bounds = self.bounds
        return (
            bounds is not None
            and bounds.mixes is not None
            and self.price is None
            and self.best.missed_pins == 0
            and self.best.score.points <= bounds.points
            and self.best.score.mixes <= bounds.mixes
        )

    def lateness_is_settled(self) -> bool:
        """Whether to leave the stages that lower lateness: it is at its bound, or all is to end."""
        points_bound = self.bounds.points if self.bounds is not None else 0
        settled = self.best.missed_pins == 0 and self.best.score.points <= points_bound
        return settled or self.should_stop()
