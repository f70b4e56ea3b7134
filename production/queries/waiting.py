"""What a piece waits for: the next step with hands, when it is due, and the word for where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

COAT, FILL, DRY, OWN = "coat", "fill", "dry", "own"


@dataclass(frozen=True)
class StepFacts:
    """One step of a route. `wait_minutes` None waits until dry; amounts per piece in thousandths.

    `kind_word` is the studio's own word for a kind of its own, `done_word` what a piece is after it.
    `also` are materials beside its own, as (id, amount).
    """

    step_id: int
    kind: str
    name: str
    wait_minutes: int | None
    minutes_each: int
    minutes_per_board: int
    material_id: int | None
    amount_each: int
    kind_word: str = ""
    done_word: str = ""
    cautions: str = ""
    also: tuple[tuple[int, int], ...] = ()

    @property
    def takes(self) -> tuple[tuple[int, int], ...]:
        """Every material one piece takes in it, with the amount: its own first, then fragrance and wick."""
        own = ((self.material_id, self.amount_each),) if self.material_id and self.amount_each else ()
        return (*own, *self.also)

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
    """The word for a piece that is here: drying, dry, the last step's name, filled, curing or ready.

    After a step of the studio's own kind it is that kind's word: gilded.
    """
    if wait.step is None and wait.due_at <= now:
        return "ready"
    cures = [step for step in wait.passing if step.kind != DRY]
    if steps_done == 0 and not cures:
        return "drying" if now < dry_at else "dry"
    done = steps[steps_done - 1] if steps_done else None
    if done is None and now < dry_at:
        return "drying"
    if wait.passing and now < wait.due_at:
        return "curing" if cures else "drying"
    if done is None:
        return "dry"
    return "filled" if done.kind == FILL else done.done_word or done.name
