"""Looking into the late lines of a plan: why each is late, and what would help."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from production.planning.effort import Effort, effort_for
from production.planning.lifting import MATERIAL, POWDER, can_bind, limits_met
from production.planning.offers import Offers, Priced
from production.planning.plans import plan_of
from production.planning.problem import Problem
from production.planning.reasons import explain
from production.planning.resolving import Resolver, Stopped
from production.planning.simulate import Run
from production.planning.why import Because, Why

# What a solve of a look gets of the tries a plan gets, in hundredths: it starts from a plan that is good.
SHARE_PERCENT = 10
WHY, OFFERS = "why", "offers"

OnProgress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class Findings:
    """What a look found: `reasons` of all late lines, `offers` as priced, best first.

    `points` and `mixes` are those of the unchanged problem given the same tries as every offer.
    `enough` names the powders and materials of late lines that there is enough of from the start.
    `is_whole` is False when it was stopped: what was not looked into says so.
    """

    reasons: tuple[Because, ...]
    offers: tuple[Priced, ...]
    points: float
    mixes: int
    solves: int
    is_whole: bool
    enough: tuple[str, ...] = ()


def effort_for_looking(line_count: int) -> Effort:
    """Tries of each solve of a look: without the solver's bounds, which cost most and change least."""
    whole = effort_for(line_count).share(SHARE_PERCENT)
    rules = max(1, whole.rules * SHARE_PERCENT // 100)
    return replace(whole, rules=rules, bound_seconds=0)


def look_into(
    run: Run,
    *,
    effort: Effort | None = None,
    on_progress: OnProgress | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Findings:
    """Why the late lines of a run are late, and what would help.

    Parameters
    ----------
    effort
        Tries of every solve; None is what suits the size.
    on_progress
        Called before each solve with "why" or "offers", solves done and solves expected of it.
    should_stop
        Asked within the solves; when it answers True, what was found so far is the answer.
    """
    plan = explain(plan_of(run), run)
    resolver = Resolver(
        run, effort=effort or effort_for_looking(len(run.prepared.problem.lines)), should_stop=should_stop
    )
    why = Why(plan, resolver, _phase(WHY, on_progress))
    offers = Offers(why, _phase(OFFERS, on_progress))
    is_whole = True
    try:
        why.look()
        offers.look()
    except Stopped:
        is_whole = False
    score = resolver.known_unchanged.score
    return Findings(
        reasons=why.reasons,
        offers=tuple(
            sorted(
                offers.priced,
                key=lambda one: (
                    -one.points_saved,
                    -one.mixes_saved,
                    one.by_lifting,
                    one.offer.kind,
                    one.offer.name,
                ),
            )
        ),
        points=score.points,
        mixes=score.mixes,
        solves=resolver.solves,
        is_whole=is_whole,
        enough=_enough(run.prepared.problem, [line.line for line in why.late]),
    )


def _enough(problem: Problem, late: Iterable[str]) -> tuple[str, ...]:
    """Powders and materials of late lines that cannot bind."""
    used = {limit for line in late for limit in limits_met(problem, line) if limit.kind in (POWDER, MATERIAL)}
    return tuple(limit.name for limit in sorted(used) if not can_bind(problem, limit))


def _phase(name: str, on_progress: OnProgress | None) -> Callable[[int, int], None] | None:
    if on_progress is None:
        return None
    return lambda done, of: on_progress(name, done, of)
