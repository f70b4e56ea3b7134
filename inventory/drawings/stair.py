"""What is held of one material over the coming days: a stair that drops at every planned draw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.drawings.shapes import Path, Picture, Shape, Words, px, width_of
from inventory.drawings.wall_clock import DAY, day_words

LEFT = 4.0
TOP = 8.0
BASE = 48.0
TALL = 66.0


@dataclass(frozen=True)
class StairFacts:
    """Amounts in thousandths of the base unit; minutes since midnight of `first_day`.

    `changes` are (minute, amount) in time's order: below zero for a draw, above for a delivery awaited.
    `order_by` is the last minute to order, None where nothing runs short in the days drawn; one that is past
    stands at now. `says` is the sentence for screen readers, by the page that knows the unit.
    """

    says: str
    held: int
    changes: tuple[tuple[float, int], ...]
    least: int
    first_day: date
    days: int
    now: float = 0.0
    order_by: float | None = None


def stair_picture(facts: StairFacts, *, width: float = 336) -> Picture:
    """The stair, a broken line for the least to keep, ticks for days, arrows for deliveries, the flag."""
    right = width - LEFT
    steps = _steps(facts)
    highest = max([facts.least, 1, *(amount for _, amount in steps)])

    def x(minute: float) -> float:
        return LEFT + min(1.0, max(0.0, minute / (facts.days * DAY))) * (right - LEFT)

    def y(amount: int) -> float:
        return BASE - min(1.0, max(0.0, amount / highest)) * (BASE - TOP)

    start = x(facts.now)
    outline = f"M{px(start)} {px(y(steps[0][1]))}"
    for minute, amount in steps[1:]:
        outline += f"H{px(max(start, x(minute)))}V{px(y(amount))}"
    outline += f"H{px(right)}"
    shapes: list[Shape] = [
        Path(f"{outline}V{px(BASE)}H{px(start)}Z", "d-level"),
        Path(outline, "d-line2"),
        Path(f"M{px(LEFT)} {px(y(facts.least))}H{px(right)}", "d-least"),
        Path(f"M{px(LEFT)} {px(BASE)}H{px(right)}", "d-line15"),
    ]
    shapes += _days(facts, width, x)
    shapes += _deliveries(facts, start, x)
    if facts.order_by is not None and facts.order_by <= facts.days * DAY:
        at = min(x(max(facts.order_by, facts.now)), right - 11)
        shapes.append(Path(f"M{px(at)} {px(BASE)}V2l11 5l-11 5", "d-flag"))
    return Picture(width=width, height=TALL, says=facts.says, shapes=tuple(shapes))


def _deliveries(facts: StairFacts, start: float, x: Callable[[float], float]) -> list[Shape]:
    """An arrow up from the base line where something comes in, within the days drawn."""
    return [
        Path(
            f"M{px(at - 4)} {px(BASE - 1)}L{px(at)} {px(BASE - 8)}L{px(at + 4)} {px(BASE - 1)}Z",
            "d-arrow-head",
        )
        for minute, change in facts.changes
        if change > 0 and minute <= facts.days * DAY
        for at in [max(start, x(minute))]
    ]


def _steps(facts: StairFacts) -> list[tuple[float, int]]:
    """Amount held after now and after each change inside the days drawn."""
    held, steps = facts.held, [(facts.now, facts.held)]
    for minute, change in facts.changes:
        if minute <= facts.days * DAY:
            held += change
            steps.append((minute, held))
    return steps


def _days(facts: StairFacts, width: float, x: Callable[[float], float]) -> list[Shape]:
    ticks = "".join(f"M{px(x(day * DAY))} {px(BASE)}v3" for day in range(facts.days))
    shapes: list[Shape] = [Path(ticks, "d-line")]
    for day in range(0, facts.days, 3):
        words = day_words(facts.first_day + timedelta(days=day))
        if x(day * DAY) + width_of(words, 13) <= width:
            shapes.append(Words(x(day * DAY), TALL - 2, words, "t13 t-quiet"))
    return shapes
