"""What is proven about a plan is said, and what is not is said too."""

from __future__ import annotations

import pytest

from production.models import Plan
from production.queries.plan_words import ended_words, progress_words, proven_words


def a_plan(**fields: object) -> Plan:
    return Plan(**{"points": 36, "mixes_count": 48, "tries": 120, **fields})


def test_a_plan_at_its_bound_says_that_none_scores_better() -> None:
    plan = a_plan(bound_points=36)

    assert proven_words(plan, 3) == "3 late lines; no plan can score better than 36 points."


def test_a_plan_above_its_bound_says_that_it_is_not_proven_and_what_is_the_least() -> None:
    plan = a_plan(points=98, bound_points=58)

    assert proven_words(plan, 3) == "3 late lines, 98 points; not proven; at least 58."


def test_a_bound_of_nothing_is_no_figure_to_measure_by() -> None:
    plan = a_plan(points=98, bound_points=0)

    assert proven_words(plan, 1) == "1 late line, 98 points; whether fewer can be had is not proven."


@pytest.mark.parametrize(
    ("bound", "words"),
    [
        (48, "48 mixes; no plan without late lines has fewer."),
        (46, "48 mixes; no plan without late lines has fewer than 46."),
        (None, ""),
    ],
)
def test_where_nothing_is_late_the_mixes_are_what_is_left_to_save(bound: int | None, words: str) -> None:
    assert proven_words(a_plan(points=0, bound_points=0, bound_mixes=bound), 0) == words


def test_late_lines_and_mixes_are_both_said_where_both_are_proven() -> None:
    said = proven_words(a_plan(bound_points=36, bound_mixes=40), 3)

    assert said.endswith("than 36 points. 48 mixes; no plan so good has fewer than 40.")


def test_nothing_is_said_to_be_proven_where_no_bound_was_looked_for() -> None:
    assert proven_words(a_plan(), 3) == ""


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, ""),
        ({"ended": "proven"}, ""),
        ({"ended": "stopped"}, "Stopped after 120 tries; the best so far."),
        ({"ended": "stopped", "tries": 1}, "Stopped after 1 try; the best so far."),
        (
            {"ended": "wall limit"},
            "Ended by the clock after 120 tries; the best so far, and another time it may be another.",
        ),
        (
            {"missing": "ortools"},
            "The solver is not installed here: fewer ways were tried, and less is proven.",
        ),
    ],
)
def test_how_the_search_ended_is_said_where_it_matters(fields: dict[str, object], words: str) -> None:
    assert ended_words(a_plan(**fields)) == words


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (
            ("moves", 20, 300, 36.0, 48),
            "moving mixes about, 20 of 300; best so far 36 points for late lines, 48 mixes",
        ),
        (("rules", 1, 56, 0, 1), "ordering the work in other ways, 1 of 56; best so far nothing late, 1 mix"),
        (("bounds", 0, 0, 0, 2), "proving how good it is; best so far nothing late, 2 mixes"),
        (("a new stage", 2, 3, 0, 2), "a new stage, 2 of 3; best so far nothing late, 2 mixes"),
    ],
)
def test_progress_is_the_stage_the_tries_and_the_best_so_far(
    told: tuple[str, int, int, float, int], words: str
) -> None:
    assert progress_words(*told) == words
