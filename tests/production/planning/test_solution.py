import pytest

from production.planning.solution import (
    Held,
    Plan,
    PlannedCast,
    PlannedLine,
    PlannedMix,
    PlannedStep,
    Score,
    days_late,
    score_of,
)
from tests.production.planning.builders import a_line, a_problem

DAY = 1440


def a_mix(start=540, quantity=2):
    casts = (PlannedCast("101", "body", quantity, "tray"),)
    return PlannedMix(start, "Quick", "Slate", casts, 700, 10, 4, 5, 6)


@pytest.mark.parametrize(("late_minutes", "days"), [(-500, 0), (0, 0), (1, 1), (DAY, 1), (DAY + 1, 2)])
def test_days_late_are_days_begun(late_minutes, days):
    assert days_late(10_000 + late_minutes, 10_000) == days


def test_scores_compare_points_then_mixes_then_earliness():
    assert Score(3, 99, 99) < Score(4, 1, 1)
    assert Score(3, 5, 99) < Score(3, 6, 1)
    assert Score(3, 5, 1) < Score(3, 5, 2)
    assert Score(0, 0, 2160).early_piece_days == 1.5


def test_the_moments_of_a_mix_follow_from_its_start():
    mix = a_mix()

    assert (mix.poured_at, mix.filled_at, mix.cleaned_at, mix.out_at) == (550, 554, 559, 706)
    assert PlannedStep("101", "pack", 100, 10).end == 110


def test_points_are_weight_times_quantity_times_days_and_the_step():
    """2 late days and the step of 2, weight 3, 5 pieces: 60; in time, 2 casts poured 1 day before ship-by."""
    problem = a_problem(a_line(quantity=5, weight=3, ship_by=DAY + 540))

    late = score_of(problem, (), {"101": 2 * DAY + 541})
    early = score_of(problem, (a_mix(),), {"101": 600})

    assert late == Score(60, 0, 0)
    assert early == Score(0, 1, 2 * DAY)


def test_a_line_left_out_scores_worse_than_one_packed_at_the_calendars_end():
    problem = a_problem(a_line())

    left_out = score_of(problem, (), {})
    last = score_of(problem, (), {"101": problem.minutes})

    assert left_out.points == last.points + 365


def test_a_plan_knows_its_late_and_unplaced_lines():
    lines = (
        PlannedLine("1", 100, 0),
        PlannedLine("2", 200, 3, Held("mould", mould="tray")),
        PlannedLine("3", None, None, Held("powder", compound="Quick")),
    )
    plan = Plan((), (), (), lines, Score(0, 0, 0))

    assert [line.line for line in plan.late] == ["2", "3"]
    assert [line.line for line in plan.unplaced] == ["3"]
    assert [line.held_by for line in plan.lines] == [None, "mould", "powder"]
    assert plan.line_by_id["2"].held.mould == "tray"
