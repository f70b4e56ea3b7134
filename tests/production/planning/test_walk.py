"""The walk: keeps the best by the planner's order, takes what is no worse than some tries ago, goes back."""

from dataclasses import replace

from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.simulate import simulate
from production.planning.solution import Score
from production.planning.walk import MEMORY, PATIENCE, Walk, key_of
from tests.production.planning.builders import DAY, a_problem

START = replace(simulate(prepare(a_problem()), ListRule(5 * DAY, 0, 0.0)), score=Score(10, 5, 0))


def scored(points, mixes, missed_pins=0):
    return replace(START, score=Score(points, mixes, 0), missed_pins=missed_pins)


def test_pins_come_before_points_and_points_before_mixes_and_their_price():
    assert key_of(scored(9, 1, missed_pins=1)) > key_of(scored(10, 9))
    assert key_of(scored(10, 9)) > key_of(scored(9, 99))
    assert key_of(scored(9, 4), lambda run: 2.5) == (0, 9, 6.5, 0)


def test_the_best_is_kept_though_the_walk_goes_elsewhere():
    walk = Walk(START, tries=9)

    # Fewer points and more mixes is better for the planner, and the same for the walk.
    assert walk.judge(scored(8, 7)) is True
    assert walk.judge(scored(9, 5)) is True

    assert walk.here.score == Score(9, 5, 0)
    assert walk.best.score == Score(8, 7, 0)


def test_what_is_worse_than_all_remembered_is_left():
    walk = Walk(START, tries=9)

    assert walk.judge(scored(11, 5)) is False
    assert walk.judge(scored(0, 0, missed_pins=1)) is False

    assert walk.here is walk.best is START


def test_after_many_tries_without_gain_it_goes_back_to_the_best():
    walk = Walk(START, tries=MEMORY + PATIENCE)
    walk.judge(scored(8, 6))
    walk.judge(scored(9, 4))
    assert walk.here.score == Score(9, 4, 0)

    taken = [walk.judge(scored(30, 30)) for _ in range(PATIENCE)]

    assert taken.index(True) == PATIENCE - 2
    assert walk.here is walk.best


def test_tries_and_a_wish_to_stop_end_it():
    told = []
    walk = Walk(START, tries=2, on_try=told.append, should_stop=lambda: len(told) == 1)

    assert walk.goes_on()
    walk.judge(START)

    assert not walk.goes_on()
    assert walk.tries_left == 1
