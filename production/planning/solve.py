"""The planner's front door: a problem in, the best plan found out."""

from production.planning.plans import plan_of
from production.planning.portfolio import OnProgress, ShouldStop, best_of_rules, rules_for
from production.planning.prepare import prepare
from production.planning.problem import Problem
from production.planning.reasons import explain
from production.planning.solution import Plan


def plan(
    problem: Problem,
    *,
    tries: int | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Plan:
    """Plan a problem: every rule of the portfolio played, the best kept, late lines explained.

    Parameters
    ----------
    tries
        Most list rules to try; None tries all that suit the size. The answer depends on the
        problem and on this number only.
    on_progress
        Called as (tries done, tries in all, best score so far) after each.
    should_stop
        Asked between tries; when it answers True the best plan so far is returned.
    """
    prepared = prepare(problem)
    rules = rules_for(len(problem.lines))
    if tries is not None:
        rules = rules[: max(1, tries)]
    run = best_of_rules(prepared, rules, on_progress=on_progress, should_stop=should_stop)
    return explain(plan_of(run), run)
