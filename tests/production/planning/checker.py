"""What the tests of the planner ask of the shipped checker, on the plain dicts of the two forms."""

from dataclasses import replace
from typing import Any

from production.checking import rules, scoring
from production.checking.plan_file import read_plan
from production.checking.problem_file import read_problem

Form = dict[str, Any]


def faults_in(problem: Form, plan: Form, unplaced: tuple[str, ...] = ()) -> list[str]:
    """A sentence for every rule the plan breaks; `unplaced` lines need not be finished."""
    asked = read_problem(problem)
    answered = read_plan(plan, asked)
    answered = replace(answered, unplaced=answered.unplaced | set(unplaced))
    return [str(fault) for fault in rules.faults_in(asked, answered)]


def score_of_forms(problem: Form, plan: Form) -> tuple[float, int, float]:
    """Lateness points, mixes, early piece-days."""
    asked = read_problem(problem)
    score = scoring.score_of(asked, read_plan(plan, asked))
    return score.points, score.mixes, score.early_piece_days
