"""Solving a changed problem again from the plan in hand, with the same tries as the unchanged one.

More tries alone find a better plan now and then. So that a lifted limit is not praised for what
the tries did, the unchanged problem is given the same tries, seed and start, and everything is
compared with that. A plan in hand can still be done when a limit is loosened; where the tries find nothing
better it is the answer, so that no looser problem ever looks worse than the tighter one.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from production.planning.effort import Effort
from production.planning.plans import given_mixes_of, plan_of
from production.planning.prepare import prepare
from production.planning.problem import Problem
from production.planning.simulate import Run, simulate
from production.planning.solution import Plan, PlannedCast, Score, days_late
from production.planning.solve import search

ShouldStop = Callable[[], bool]
# How late a line counts that is not packed within the calendar, in days.
NEVER = 10**6


@dataclass(frozen=True, slots=True)
class Answer:
    """What a solve came to: pins missed, score, and days late of each line (NEVER: not placed)."""

    missed_pins: int
    score: Score
    days_late: Mapping[str, int]

    @property
    def key(self) -> tuple[int, Score]:
        """What answers are compared by; less is better."""
        return self.missed_pins, self.score


def answer_of(run: Run) -> Answer:
    """What a run comes to."""
    late = {
        line.id: NEVER if packed_at is None else days_late(packed_at, line.ship_by)
        for line, packed_at in zip(run.prepared.problem.lines, run.packed_at, strict=True)
    }
    return Answer(run.missed_pins, run.score, late)


class Stopped(Exception):
    """Somebody asked to stop: a solve that was cut short says nothing about a limit."""


class Resolver:
    """Solves changed problems from one plan in hand; each of them once.

    `in_hand` is what the plan comes to, `unchanged` what the same tries make of the same problem;
    `solves` counts them all.

    Raises
    ------
    Stopped
        From every method, when `should_stop` answered True before the solve was at its end.
    """

    def __init__(
        self,
        run: Run,
        *,
        effort: Effort,
        on_solve: Callable[[int], None] | None = None,
        should_stop: ShouldStop | None = None,
    ) -> None:
        self.problem = run.prepared.problem
        self.in_hand = answer_of(run)
        self.solves = 0
        self._run, self._plan = run, plan_of(run)
        self._effort, self._on_solve, self._asked_to_stop = effort, on_solve, should_stop
        self._answers: dict[Problem, Answer] = {}

    @property
    def unchanged(self) -> Answer:
        """The plan in hand after the same tries as every changed problem gets."""
        return self._solved(self.problem, self._plan)

    @property
    def known_unchanged(self) -> Answer:
        """As `unchanged` where that is solved already, else the plan in hand. Never stops."""
        return self._answers.get(self.problem, self.in_hand)

    def answer(self, problem: Problem) -> Answer:
        """The best of a problem that leaves no less room than the unchanged one; never worse than that."""
        return min(self._solved(problem, self._plan), self.unchanged, key=lambda answer: answer.key)

    def pieces_dry_first(self, line: str) -> int:
        """How many pieces of a line are not in the last mix opened for it, in the plan in hand."""
        article = self.problem.article_by_name[self.problem.line_by_id[line].article]
        fewest = self.problem.line_by_id[line].quantity
        for part in article.parts:
            by_opening = sorted(
                (mix.opened, cast.quantity)
                for mix in self._plan.mixes
                for cast in mix.casts
                if (cast.line, cast.part) == (line, part.name)
            )
            last = by_opening[-1][0] if by_opening else 0
            fewest = min(fewest, sum(quantity for opened, quantity in by_opening if opened < last))
        return fewest if article.parts else 0

    def answer_in_parts(self, problem: Problem, parts: Mapping[str, tuple[str, str, int]]) -> Answer:
        """The best of a problem in which lines became two each; it may be worse than the unchanged one.

        `parts` by line: the ids of its two halves, and how many pieces the first has.
        """
        return self._solved(problem, _in_parts(self._plan, parts))

    def _solved(self, problem: Problem, plan: Plan) -> Answer:
        known = self._answers.get(problem)
        if known is not None:
            return known
        self._look()
        prepared = prepare(problem)
        urgency = dict(plan.urgency)
        start = simulate(
            prepared,
            self._run.rule,
            offsets=[urgency.get(line.id, 0) for line in problem.lines],
            given=given_mixes_of(prepared, plan),
        )
        run = search(prepared, effort=self._effort, starts=(start,), should_stop=self._asked_to_stop)
        self._look()
        self._answers[problem] = answer_of(run)
        self.solves += 1
        if self._on_solve is not None:
            self._on_solve(self.solves)
        return self._answers[problem]

    def _look(self) -> None:
        if self._asked_to_stop is not None and self._asked_to_stop():
            raise Stopped


def _in_parts(plan: Plan, parts: Mapping[str, tuple[str, str, int]]) -> Plan:
    """A plan whose casts of these lines belong to their two halves, the earliest to the first."""
    left = {
        (line, cast.part): parts[line][2]
        for mix in plan.mixes
        for cast in mix.casts
        for line in [cast.line]
        if line in parts
    }
    mixes = []
    for mix in sorted(plan.mixes, key=lambda mix: mix.start):
        casts: list[PlannedCast] = []
        for cast in mix.casts:
            if cast.line not in parts:
                casts.append(cast)
                continue
            first, second, _ = parts[cast.line]
            taken = min(cast.quantity, left[cast.line, cast.part])
            left[cast.line, cast.part] -= taken
            if taken:
                casts.append(replace(cast, line=first, quantity=taken))
            if taken < cast.quantity:
                casts.append(replace(cast, line=second, quantity=cast.quantity - taken))
        mixes.append(replace(mix, casts=tuple(casts)))
    urgency = dict(plan.urgency)
    halves = [(half, urgency.get(line, 0)) for line, (*both, _) in parts.items() for half in both]
    return replace(plan, mixes=tuple(mixes), urgency=(*plan.urgency, *halves))
