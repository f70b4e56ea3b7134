"""The earliest minutes that bound every plan, reckoned by hand."""

from itertools import islice

from production.planning.prepare import prepare
from production.planning.problem import CastCount, Poured
from production.planning.turns import NEVER, Earliest, late_points
from tests.production.planning.builders import a_line, a_mould, a_problem, working_days

DAY = 1440


def test_a_piece_is_packed_after_weighing_filling_setting_opening_drying_coat_and_wait():
    earliest = Earliest(prepare(a_problem()))

    poured_at = earliest.pour(0, 540, 1020)

    # 9:00 weigh 10, fill 2, set 60, open 3: out 10:15; dry a day; coat 5; two hours; pack 10.
    assert poured_at == 540
    assert earliest.packed(0, 540) == 540 + 75 + DAY + 5 + 120 + 10


def test_a_window_too_short_for_one_mix_pours_nothing():
    # Weigh 10, fill 2, clean 5.
    earliest = Earliest(prepare(a_problem()))

    assert earliest.pour(0, 540, 556) is None
    assert earliest.pour(0, 540, 557) == 540


def test_nothing_of_a_line_is_poured_before_it_may_be():
    earliest = Earliest(prepare(a_problem(a_line(not_before=600))))

    assert earliest.pour(0, 540, 1020) == 600


def test_what_no_window_holds_is_never_packed():
    earliest = Earliest(prepare(a_problem(windows=working_days(1))))

    assert earliest.packed(0, 540) == NEVER
    assert earliest.days_late(0, NEVER) == NEVER


def test_a_copy_is_filled_again_when_it_is_opened_and_rested():
    prepared = prepare(a_problem())
    earliest = Earliest(prepared)

    starts = list(islice(earliest.fills(earliest.quickest_turns()[0], 60, 0), 5))

    # A turn is 12 to fill, 60 to set, 3 to open, 60 to rest; the fourth is opened at 9:00 the next day at
    # the latest, having set since 16:57.
    assert starts == [540, 675, 810, 945, DAY + 540]


def test_copies_in_use_come_free_when_opened_and_rested():
    line = a_line(quantity=2)
    poured = Poured("P1", "Quick", "Slate", filled_at=-30, casts=(CastCount("101", "body", 1),))
    mould = a_mould(copies=3, free_at=(2000,))

    earliest = Earliest(prepare(a_problem(line, moulds=(mould,), poured=(poured,))))

    assert earliest.copies_from(0) == [0, 540 + 3 + 60, 2000]


def test_late_points_are_weight_times_pieces_times_late_step_and_days():
    prepared = prepare(a_problem(a_line(quantity=3, weight=2)))

    assert late_points(prepared, 0, 0) == 0
    assert late_points(prepared, 0, 1) == 2 * 3 * (2 + 1)
    # Packed 365 days after the calendar of 30 days ends, due on the eleventh evening: 384.3 days late.
    assert late_points(prepared, 0, NEVER) == 2 * 3 * (2 + 385)
