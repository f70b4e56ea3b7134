"""What must be done from when to when, reckoned by hand."""

from production.planning.demands import asked_between, demands_of
from production.planning.prepare import prepare
from production.planning.problem import NoPours
from production.planning.turns import Earliest
from tests.production.planning.builders import a_line, a_mould, a_problem

DAY = 1440


def demands(*lines, **changes):
    return demands_of(Earliest(prepare(a_problem(*lines, **changes))))


def test_steps_openings_and_pours_have_a_first_window_and_a_last_by_days_late():
    hands = demands(a_line(ship_by=4 * DAY + 1020)).limits[0].demands
    coat, pack, opening, pour = hands

    # Dry on the second day; the coat lies two hours before packing, both on the fifth day at the latest.
    assert (coat.first, coat.amount, coat.last[:2]) == (1, 5, (4, 5))
    assert (pack.first, pack.amount, pack.last[:2]) == (1, 10, (4, 5))
    # Out of the mould a day before the coat, and poured an hour before that.
    assert (opening.first, opening.amount, opening.last[:2]) == (0, 3, (3, 4))
    assert (pour.first, pour.amount, pour.last[:2]) == (0, 2, (3, 4))
    # One of the two pieces that the two copies hold: half a mix at least, but there is only one.
    assert pour.mixes == 1 / 2


def test_what_a_step_of_lateness_adds_is_what_the_days_until_it_cost():
    lateness = demands(a_line(ship_by=DAY + 600, quantity=2)).lateness[0]

    # Packed on the second day at 12:30 at the earliest, which is a day late; each day more adds 1 a piece.
    assert lateness.days[:3] == (1, 2, 3)
    assert lateness.adds[:2] == (2, 2)


def test_hours_and_turns_are_added_up_from_each_window_on():
    hands, trays = demands(a_line(), moulds=(a_mould(copies=1),)).limits

    assert hands.room[0][:3] == [480, 960, 1440]
    assert hands.room[1][:3] == [0, 480, 960]
    # 9:00, 11:15, 13:30 and 15:45 of each day.
    assert trays.room[0][:3] == [4, 8, 12]
    assert trays.room[2][:4] == [0, 0, 4, 8]


def test_only_what_must_lie_between_two_windows_is_asked_there():
    hands = demands(a_line(ship_by=4 * DAY + 1020)).limits[0].demands

    asked = {demand.amount: step for demand, step in asked_between(hands, 0, 3)}
    assert asked == {3: 1, 2: 1}
    # A day later the same must be done unless it is two days late, and the rest unless one.
    assert {demand.amount: step for demand, step in asked_between(hands, 0, 4)} == {3: 2, 2: 2, 5: 1, 10: 1}
    assert {demand.amount for demand, _ in asked_between(hands, 1, 4)} == {5, 10}


def test_a_line_that_cannot_ever_be_poured_asks_for_nothing():
    never = demands(no_pours=(NoPours("Quick", "Slate", 0, 30 * DAY),))

    assert never.limits[0].demands == []
