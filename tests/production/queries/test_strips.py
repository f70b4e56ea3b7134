"""One mix from jug to the day it leaves: what was, what the plan says, what follows from the route."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from production.queries.strips import cast_words, project
from production.queries.waiting import StepFacts
from tests.factories.inventory import MONDAY
from tests.factories.production import minutes

DRY_AT = MONDAY + timedelta(days=1)
OUT_AT = MONDAY + minutes(75)


def step(kind: str = "coat", name: str = "coat 1", wait: int | None = None, each: int = 3) -> StepFacts:
    return StepFacts(1, kind, name, wait, each, 0, None, 0)


COAT, COAT_2, CURE = step(), step(name="coat 2", wait=240), step("cure", "cure", 1200, 0)


def projected(
    *steps: StepFacts, done: int = 0, times: Any = None, now: Any = MONDAY, last: Any = None
) -> Any:
    return project(steps, done, OUT_AT, DRY_AT, times or {}, now, last)


def test_without_a_plan_each_step_comes_at_the_end_of_its_wait() -> None:
    found, ready_at = projected(COAT, COAT_2, CURE)

    assert [one.start_at for one in found] == [DRY_AT, DRY_AT + minutes(243), DRY_AT + minutes(246)]
    assert ready_at == DRY_AT + minutes(246 + 1200)
    assert not any(one.is_done for one in found)


def test_a_planned_step_stands_where_the_plan_has_it() -> None:
    later = DRY_AT + timedelta(days=2)

    found, ready_at = projected(COAT, CURE, times={"coat 1": (later, 11)})

    assert (found[0].start_at, found[0].end_at) == (later, later + minutes(11))
    assert ready_at == later + minutes(11 + 1200)


def test_a_step_that_is_overdue_is_drawn_from_now() -> None:
    now = DRY_AT + timedelta(days=1)

    assert projected(COAT, now=now)[0][0].start_at == now


def test_a_step_that_was_done_stands_where_it_was_done() -> None:
    done_at = DRY_AT + minutes(500)

    found, _ = projected(COAT, COAT_2, done=1, last=done_at, now=done_at)

    assert (found[0].start_at, found[0].is_done) == (done_at, True)
    assert found[1].start_at == done_at + minutes(240)


def test_a_cure_that_is_over_is_done() -> None:
    found, ready_at = projected(COAT, CURE, done=1, last=DRY_AT, now=DRY_AT + minutes(1201))

    assert [one.is_done for one in found] == [True, True]
    assert ready_at == DRY_AT + minutes(1200)


def test_without_steps_it_is_ready_when_it_is_dry() -> None:
    assert projected() == ((), DRY_AT)


def test_casts_are_counted_by_part() -> None:
    assert cast_words([("Pot", 1), ("saucer", 2), ("Pot", 1)]) == "2 pots, saucers"
    assert cast_words([("soap dish", 2)]) == "2 soap dishes"
    assert cast_words([("cup", 4), ("dish", 2)]) == "4 cups, 2 dishes"
    assert cast_words([("pot", 1), ("saucer", 1)]) == "1 pot, saucer"
