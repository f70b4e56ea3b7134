"""The next step and when it is due, without a database."""

from __future__ import annotations

from datetime import timedelta

import pytest

from production.queries.waiting import StepFacts, next_wait, state_word
from tests.factories.inventory import MONDAY

DRY = MONDAY + timedelta(hours=24)


def step(name, wait, hands=2):
    return StepFacts(1, "coat", name, wait, hands, 0, None, 0)


@pytest.mark.parametrize(
    ("steps", "done", "due", "name"),
    [
        ([], 0, DRY, None),
        ([step("coat 1", None)], 0, DRY, "coat 1"),
        ([step("coat 1", 30)], 0, MONDAY + timedelta(minutes=30), "coat 1"),
        ([step("coat 1", None), step("coat 2", 90)], 1, MONDAY + timedelta(minutes=90), "coat 2"),
        ([step("cure", 60, 0), step("feet", 30)], 0, MONDAY + timedelta(minutes=90), "feet"),
        ([step("coat 1", None), step("cure", 60, 0)], 1, MONDAY + timedelta(minutes=60), None),
    ],
)
def test_what_comes_next_and_when(steps, done, due, name):
    wait = next_wait(steps, steps_done=done, last_step_at=MONDAY, dry_at=DRY)

    assert (wait.due_at, wait.step.name if wait.step else None) == (due, name)


def test_a_piece_that_dried_before_its_wait_began_is_due_at_once():
    wait = next_wait([step("coat 1", None)], steps_done=0, last_step_at=DRY, dry_at=MONDAY)

    assert wait.due_at == DRY


def test_a_cure_before_the_feet_says_curing_until_it_is_over():
    steps = [step("coat 1", None), step("cure", 60, 0), step("feet", 0)]
    wait = next_wait(steps, steps_done=1, last_step_at=DRY, dry_at=DRY)

    def said(minutes):
        now = DRY + timedelta(minutes=minutes)
        return state_word(steps, wait, steps_done=1, dry_at=DRY, now=now)

    assert [said(30), said(61)] == ["curing", "coat 1"]


def test_a_step_that_dries_says_drying_before_the_first_coat_and_between_coats():
    dry = StepFacts(1, "dry", "dry", None, 0, 0, None, 0)
    again = StepFacts(2, "dry", "dry again", 60, 0, 0, None, 0)
    steps = [dry, step("coat 1", 0), again, step("coat 2", 0)]

    def said(done, last_step_at, now):
        wait = next_wait(steps, steps_done=done, last_step_at=last_step_at, dry_at=DRY)
        return state_word(steps, wait, steps_done=done, dry_at=DRY, now=now), wait.due_at

    later = DRY + timedelta(minutes=60)
    assert said(0, MONDAY, MONDAY) == ("drying", DRY)
    assert said(0, MONDAY, DRY) == ("dry", DRY)
    assert said(2, DRY, DRY) == ("drying", later)
    assert said(2, DRY, later) == ("coat 1", later)


def test_hands_for_a_board_are_once_and_for_pieces_each():
    assert StepFacts(1, "coat", "coat 1", None, 3, 5, None, 0).minutes_for(4) == 17
