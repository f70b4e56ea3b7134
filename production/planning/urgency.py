"""The urgency search: late lines cry out, what stands in their way is calmed, the studio is played again.

Squeaky-wheel optimisation, in which every late line is made more urgent after each try, forgets what it
had found as soon as many lines are late. Here a try changes some lines of the run it starts from, fewer
towards the end, and the walk is that of late acceptance (`walk.py`): late lines, drawn by the points they
cost, are made more urgent; or lines due about when a late one is are made to wait; or any are nudged.

Source of the squeaky wheel: D. E. Joslin and D. P. Clements, Journal of Artificial Intelligence
Research 10 (1999) 353-373 (from memory).
"""

import random
from collections.abc import Sequence

from production.planning.prepare import Prepared
from production.planning.simulate import Run, simulate
from production.planning.solution import DAY, UNPLACED_DAYS
from production.planning.walk import OnTry, Price, ShouldStop, Walk, key_of

# Shares of the tries that hurry a late line and that calm its rivals; the others nudge any line.
HURRY, CALM = 0.5, 0.3
# Lines due so near a late one count as its rivals.
RIVAL_DAYS = 6
LONGEST_NUDGE_DAYS = 2.0
# Tries are few where lines are many, so each changes more of them, less so towards the end: at first
# one more for so many lines.
LINES_FOR_EACH = 50


def improve_by_urgency(
    prepared: Prepared,
    starts: Sequence[Run],
    *,
    tries: int,
    seed: int,
    price: Price | None = None,
    on_try: OnTry | None = None,
    should_stop: ShouldStop | None = None,
) -> Run:
    """The best run that so many tries find; the best of `starts` where they find no better.

    Every run carries the offsets (minutes by line) that it can be played again with.

    Raises
    ------
    ValueError
        When there is no run to start from.
    """
    start = min(starts, key=lambda run: key_of(run, price))
    rng = random.Random(seed)
    walk = Walk(start, tries=tries, price=price, on_try=on_try, should_stop=should_stop)
    while prepared.problem.lines and walk.goes_on():
        offsets = list(walk.here.offsets) or [0] * len(prepared.problem.lines)
        share_left = walk.tries_left / tries
        _change(walk.here, offsets, rng, 1 + round(share_left * len(offsets) / LINES_FOR_EACH))
        walk.judge(simulate(prepared, walk.here.rule, offsets=offsets))
    return walk.best


def _change(run: Run, offsets: list[int], rng: random.Random, many: int) -> None:
    """Change the urgency of `many` lines or a few times that, most often for the sake of one that is late."""
    lines = run.prepared.problem.lines
    points = lateness_points(run)
    late = list(points)
    drawn = rng.random()
    if late and drawn < HURRY:
        for line in rng.choices(late, [points[line] for line in late], k=many * rng.choice((1, 1, 2, 3))):
            offsets[line] -= _some_minutes(rng, least=0.1)
    elif late and drawn < HURRY + CALM:
        line = rng.choice(late)
        due = lines[line].ship_by
        rivals = [
            other
            for other, its in enumerate(lines)
            if other != line and abs(its.ship_by - due) < RIVAL_DAYS * DAY
        ]
        for other in rng.sample(rivals, min(len(rivals), many * rng.choice((1, 2, 4)))):
            offsets[other] += _some_minutes(rng, least=0.1)
        if rng.random() < 0.3:
            offsets[line] -= _some_minutes(rng, least=0.1)
    else:
        for line in rng.sample(range(len(lines)), min(len(lines), many * rng.choice((1, 1, 2, 4)))):
            offsets[line] += _some_minutes(rng, least=-LONGEST_NUDGE_DAYS)


def _some_minutes(rng: random.Random, least: float) -> int:
    return round(rng.uniform(least, LONGEST_NUDGE_DAYS) * DAY)


def lateness_points(run: Run) -> dict[int, float]:
    """What each late line costs, by its number, in the order of the lines."""
    problem = run.prepared.problem
    costs = {}
    for number, (line, packed_at) in enumerate(zip(problem.lines, run.packed_at, strict=True)):
        counted = problem.minutes + UNPLACED_DAYS * DAY if packed_at is None else packed_at
        if packed_at is None or counted > line.ship_by:
            days = problem.late_step_days + (counted - line.ship_by) / DAY
            # A line that costs nothing may still be drawn.
            costs[number] = max(0.01, line.weight * line.quantity * days)
    return costs
