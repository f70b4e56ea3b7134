"""The score of a plan, as the rules of the exchanged forms say it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from production.checking.faults import DAY, SLIGHT
from production.checking.studio import Answered, Asked

LEFT_OUT_DAYS = 365
"""A line that is left out counts as packed so long after the calendar's end."""


@dataclass(frozen=True)
class ScoreFound:
    """Lateness points, mixes, early piece-days; compared in this order, less is better."""

    points: float
    mixes: int
    early_piece_days: float
    late_lines: int
    unplaced_lines: int


def score_of(asked: Asked, answered: Answered) -> ScoreFound:
    """Score of a plan, whether or not it keeps the rules."""
    packed = {}
    for _, line, step, start in answered.steps:
        wanted = asked.lines[line]
        task = asked.articles[wanted.article].tasks[-1]
        if step == task.name:
            packed[line] = start + ceil(task.each * wanted.quantity + task.once - SLIGHT)
    points, late_lines, leaves = 0.0, 0, {}
    for line, wanted in asked.lines.items():
        done = packed.get(line, asked.minutes + LEFT_OUT_DAYS * DAY)
        # A line that is left out is late even where its day lies behind the calendar's end.
        if done > wanted.ship_by or line not in packed:
            late = max(0, -((wanted.ship_by - done) // DAY))
            points += wanted.weight * wanted.quantity * (asked.late_step_days + late)
            late_lines += 1
        leaves[line] = max(wanted.ship_by, packed.get(line, asked.minutes))
    early = sum((leaves[line] - mix.start) * count for mix in answered.mixes for line, _, count in mix.casts)
    unplaced = len(asked.lines) - len(packed)
    return ScoreFound(points, len(answered.mixes), early / DAY, late_lines, unplaced)
