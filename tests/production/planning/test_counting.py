"""Bounds by counting: worked by hand, and below every plan."""

import pytest

from production.planning.counting import (
    HANDS,
    MOULDS,
    TOO_LATE,
    groups_of_lines,
    least_extra,
    mixes_by_counting,
    points_by_counting,
    up_to_grain,
)
from production.planning.prepare import prepare
from tests.production.planning.builders import (
    a_compound,
    a_line,
    a_mould,
    a_problem,
    an_article,
    working_days,
)

DAY = 1440


def test_a_line_that_cannot_be_in_time_alone_costs_what_its_earliest_packing_costs():
    # Poured on the first morning it is packed on the second day at 12:30, two hours after it is due.
    late = a_line(ship_by=DAY + 630, quantity=2)

    assert points_by_counting(prepare(a_problem(late))) == (2 * (2 + 1), TOO_LATE)


def test_more_casts_due_than_a_mould_turns_make_the_cheapest_lines_late():
    lines = [a_line(str(n), ship_by=DAY + 780, weight=n + 1) for n in range(3)]

    points, by = points_by_counting(prepare(a_problem(*lines, moulds=(a_mould(copies=1),))))

    # 9:00 alone is early enough (out 10:15, coat 10:15-10:20, pack 12:20-12:30); 11:15 is not.
    # Two lines are late, at least those of weight 1 and 2, by a day each.
    assert (points, by) == ((1 + 2) * (2 + 1), MOULDS)


def test_more_minutes_due_than_hands_have_make_the_cheapest_lines_late():
    article = an_article(steps=(), pack_minutes=200, pack_wait_minutes=0)
    compound = a_compound(dry_minutes=0)
    lines = [a_line(str(n), ship_by=1020) for n in range(3)]

    points, by = points_by_counting(
        prepare(a_problem(*lines, articles=(article,), compounds=(compound,), moulds=(a_mould(copies=9),)))
    )

    # 3 x (200 + 2 + 3) minutes are due on a day of 480: 135 of them cannot be, a fraction of one line; all
    # plans score in whole steps of 1 x (2 + days), so that one grain is 1.
    assert by == HANDS
    assert points == 2  # 3 points x 135 / 205 = 1.98


def test_what_is_let_go_is_the_cheapest_per_amount_and_in_fractions():
    # By minute 0: 3 casts, room for 2, the cheapest costs 4 each; by minute 2: 8 casts, room for 5,
    # of those 3 the two of 1 each and one of 4 go.
    demands = [(0, 1, 10), (0, 2, 8), (2, 2, 2), (2, 3, 30)]

    assert least_extra(demands, {0: 2, 2: 5}) == pytest.approx(2 * 1 + 1 * 4)
    assert least_extra(demands, {0: 9, 2: 9}) == 0


def test_points_are_rounded_up_to_what_plans_can_score():
    lines = [a_line("1", quantity=4, weight=1), a_line("2", quantity=6, weight=1)]

    # Every plan scores a multiple of 2: 4 x (2 + d) + 6 x (2 + e).
    assert up_to_grain(prepare(a_problem(*lines)), 12.1) == 14
    assert up_to_grain(prepare(a_problem(*lines)), 12) == 12
    # An odd weight has no grain: rounded down to a thousandth.
    odd = prepare(a_problem(a_line("1", weight=1 / 3)))
    assert up_to_grain(odd, 1.00049) == 1


def test_lines_that_share_moulds_over_others_are_one_group():
    moulds = tuple(a_mould(name) for name in ("tray", "lid", "cup"))
    plain = an_article().parts[0]
    articles = (
        an_article("Tray"),
        an_article(
            "Set", parts=(plain, type(plain)("lid", "lid", 10, "Quick")),
        ),
        an_article("Lid", parts=(type(plain)("lid", "lid", 10, "Quick"),)),
        an_article("Cup", parts=(type(plain)("cup", "cup", 10, "Quick"),)),
    )  # fmt: skip
    lines = [a_line(str(n), article=a) for n, a in enumerate(("Tray", "Lid", "Cup", "Set"))]

    group = groups_of_lines(prepare(a_problem(*lines, moulds=moulds, articles=articles)))

    assert group[0] == group[1] == group[3] != group[2]


@pytest.mark.parametrize(
    ("changes", "mixes"),
    [
        ({"working_minutes": 10}, 2),  # 7 casts of 2 minutes: 14 in mixes of 10
        ({"working_minutes": 4}, 4),
        ({"jug_g": 450, "working_minutes": 99}, 4),  # 7 x 200 g, 400 g beside the residue
        ({"working_minutes": 99}, 3),  # 3 copies
    ],
)
def test_mixes_are_counted_by_working_time_jug_and_copies(changes, mixes):
    problem = a_problem(a_line(quantity=7), moulds=(a_mould(copies=3),), compounds=(a_compound(**changes),))
    if changes == {"working_minutes": 10}:
        problem = a_problem(
            a_line(quantity=7), moulds=(a_mould(copies=9),), compounds=(a_compound(**changes),)
        )

    assert mixes_by_counting(prepare(problem), 0) == mixes


def test_a_plan_with_points_to_spend_may_leave_lines_and_their_mixes_out():
    lines = [a_line("1", colour="Fog"), a_line("2", colour="Rust", quantity=4)]
    prepared = prepare(a_problem(*lines, windows=working_days(30)))
    left_out = 2 + 385  # due on the eleventh evening, counted as 365 days after the thirtieth day

    assert mixes_by_counting(prepared, left_out - 1) == 3
    assert mixes_by_counting(prepared, left_out) == 2
