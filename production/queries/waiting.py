"""What a piece waits for: the next step with hands, when it is due, and the word for where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

COAT, FILL = "coat", "fill"


@dataclass(frozen=True)
class StepFacts:
    """One step of a route. `wait_minutes` None waits until dry; amounts per piece in thousandths."""

    step_id: int
    kind: str
    name: str
    wait_minutes: int | None
    minutes_each: int
    minutes_per_board: int
    material_id: int | None
    amount_each: int

    @property
    def wants_hands(self) -> bool:
        """Whether somebody has to do something; a cure only has to pass."""
        return bool(self.minutes_each or self.minutes_per_board)

    def minutes_for(self, pieces: int) -> int:
        """Minutes of hands for so many pieces on one board."""
        return self.minutes_per_board + self.minutes_each * pieces


@dataclass(frozen=True)
class Wait:
    """The next step with hands (None: only time is left), its place in the route, and when it is due.

    `passing` are the steps without hands that pass on the way, such as a cure.
    """

    step: StepFacts | None
    index: int
    due_at: datetime
    passing: tuple[StepFacts, ...]


def next_wait(
    steps: Sequence[StepFacts], *, steps_done: int, last_step_at: datetime, dry_at: datetime
) -> Wait:
    """What comes after `steps_done` steps, counted in UTC from the last one at `last_step_at`.

    A step that waits until dry is due at `dry_at`, or at once if that has passed. A route without steps is
    over when the piece is dry.
    """
    at = last_step_at
    passing: list[StepFacts] = []
    for index in range(steps_done, len(steps)):
        step = steps[index]
        at = max(at, dry_at) if step.wait_minutes is None else at + timedelta(minutes=step.wait_minutes)
        if step.wants_hands:
            return Wait(step, index, at, tuple(passing))
        passing.append(step)
    if not steps:
        at = max(at, dry_at)
    return Wait(None, len(steps), at, tuple(passing))


def state_word(
    steps: Sequence[StepFacts], wait: Wait, *, steps_done: int, dry_at: datetime, now: datetime
) -> str:
    """The word for a piece that is here: drying, dry, the last step's name, filled, curing or ready."""
    if wait.step is None and wait.due_at <= now:
        return "ready"
    if steps_done == 0 and not wait.passing:
        return "drying" if now < dry_at else "dry"
    done = steps[steps_done - 1] if steps_done else None
    if done is None and now < dry_at:
        return "drying"
    if wait.passing and now < wait.due_at:
        return "curing"
    if done is None:
        return "dry"
    return "filled" if done.kind == FILL else done.name
