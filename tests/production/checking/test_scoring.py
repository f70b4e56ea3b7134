"""The score of a plan by the checker: late days begun, mixes, early piece-days."""

import copy

from production.checking.plan_file import read_plan
from production.checking.problem_file import read_problem
from production.checking.scoring import LEFT_OUT_DAYS, score_of
from tests.production.management.test_plan import PROBLEM

DAY = 1440
MIX = {
    "start": 480,
    "compound": "quick",
    "colour": "Rust",
    "opened": 600,
    "casts": [{"line": "1", "part": "tray", "quantity": 2}],
}
PLAN = {
    "form": "casting-plan 1",
    "mixes": [MIX, {**MIX, "start": 960, "opened": 2 * DAY + 480}],
    "opened": {},
    "steps": [
        {"line": "1", "step": "coat 1", "start": 3 * DAY + 700},
        {"line": "1", "step": "pack", "start": 4 * DAY + 500},
    ],
}


def scored(*, plan=PLAN, **line):
    problem = copy.deepcopy(PROBLEM)
    problem["orders"][0] |= line
    asked = read_problem(problem)
    return score_of(asked, read_plan(plan, asked))


def test_lateness_is_counted_in_days_begun_times_weight_and_pieces():
    packed_at = 4 * DAY + 504

    for late_minutes, points in (
        (0, 0),
        (1, 3 * 4 * (2 + 1)),
        (DAY, 3 * 4 * (2 + 1)),
        (DAY + 1, 3 * 4 * (2 + 2)),
    ):
        found = scored(weight=3, ship_by=packed_at - late_minutes)
        assert found.points == points
        assert found.late_lines == (1 if points else 0)


def test_mixes_and_early_piece_days_are_counted():
    found = scored(ship_by=5 * DAY)

    assert found.mixes == 2
    assert found.early_piece_days == (2 * (5 * DAY - 480) + 2 * (5 * DAY - 960)) / DAY


def test_a_line_that_is_left_out_is_never_better_than_a_late_one():
    found = scored(plan={**PLAN, "steps": [], "unplaced": ["1"]}, ship_by=10**6)

    assert (found.unplaced_lines, found.late_lines) == (1, 1)
    # The calendar has 14 days; the ship-by day lies behind it, but not by a year.
    assert found.points == 4 * (2 + max(0, -(-((14 + LEFT_OUT_DAYS) * DAY - 10**6) // DAY)))
