"""Counting back from ship-by: the latest start of every step, opening and pour of a line.

The walk goes through the working windows of a studio that is otherwise empty; what other
lines take, and how many pairs of hands there are, is left to the simulator.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from production.planning.calendar import WorkCalendar
from production.planning.measures import (
    PieceTakes,
    first_wait,
    line_tasks,
    part_sets,
    set_minutes,
    whole_minutes,
)
from production.planning.problem import Line, Part, Problem


@dataclass(frozen=True, slots=True)
class LatestStarts:
    """Latest starts of a line in minutes; negative ones lie before the plan's start.

    `steps` has one entry per step of the article and one for packing; `opening` and `pour`
    are by part: the opening of the last mix that holds it, and the weighing of that mix.
    """

    steps: tuple[int, ...]
    opening: Mapping[str, int]
    pour: Mapping[str, int]


def latest_starts(problem: Problem, line: Line, calendar: WorkCalendar) -> LatestStarts:
    """Latest start of every step of a line, and of the last opening and pour of each part."""
    article = problem.article_by_name[line.article]
    steps: list[int] = []
    finish = line.ship_by
    for wait, minutes in reversed(line_tasks(problem, line)):
        steps.append(calendar.last_fit_or_before(finish, minutes))
        finish = steps[-1] - wait
    steps.reverse()
    opening: dict[str, int] = {}
    pour: dict[str, int] = {}
    for parts in part_sets(article):
        dried_from = steps[0] - first_wait(article, problem.compound_by_name[parts[0].compound].dry_minutes)
        opens, pours = _last_mix(problem, parts, line.quantity, dried_from, calendar)
        for part in parts:
            opening[part.name], pour[part.name] = opens, pours
    return LatestStarts(tuple(steps), opening, pour)


def latest_first_pour(problem: Problem, line: Line, calendar: WorkCalendar) -> int | None:
    """Latest start of the first mix of a line, its moulds turning as often as its pieces need.

    None for a line without parts. Negative: before the plan's start.
    """
    article = problem.article_by_name[line.article]
    latest = latest_starts(problem, line, calendar)
    pours: list[int] = []
    for parts in part_sets(article):
        takes = PieceTakes(problem, parts, calendar.longest_minutes)
        copies = min(problem.mould_by_name[name].copies // count for name, count in takes.needs.items())
        rest = max(problem.mould_by_name[name].rest_minutes for name in takes.needs)
        pour = latest.pour[parts[0].name]
        for _ in range(-(-line.quantity // max(1, copies)) - 1):
            _, pour = _last_mix(problem, parts, line.quantity, pour - rest, calendar)
        pours.append(pour)
    return min(pours, default=None)


def _last_mix(
    problem: Problem, parts: Sequence[Part], quantity: int, opened_by: int, calendar: WorkCalendar
) -> tuple[int, int]:
    """Latest opening and pour of a mix with as many pieces as fit, out of the mould by `opened_by`."""
    takes = PieceTakes(problem, parts, calendar.longest_minutes)
    compound = problem.compound_by_name[parts[0].compound]
    pieces = min(quantity, max(1, takes.most_per_mix))
    opens = calendar.last_fit_or_before(opened_by, whole_minutes(pieces * takes.opening_milliminutes))
    clean_up = compound.clean_up_minutes
    hands = compound.weigh_and_mix_minutes + whole_minutes(pieces * takes.fill_milliminutes) + clean_up
    pours = calendar.last_fit_or_before(opens - set_minutes(problem, parts, compound) + clean_up, hands)
    return opens, pours
