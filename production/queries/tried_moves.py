"""A planned mix tried at another time: what it would change, with the numbers that the screens use."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from production.errors import NotThere
from production.planning.calendar import instant_of, minute_of
from production.planning.calm import Keep, KeptMix
from production.planning.moving import CannotMove, Moved, try_move
from production.queries.kept_plan import kept_plan
from production.queries.planning_task import PlanningTask
from production.queries.progress import mix_numbers_ahead, planned_mixes_ahead


@dataclass(frozen=True)
class MixToMove:
    """A planned mix as it stands: its number, where it is, and the pin that holds it there, if one does."""

    id: int
    number: int
    colour: str
    colour_id: int
    compound_id: int
    starts_at: datetime
    pin_id: int | None


@dataclass(frozen=True)
class TriedMove:
    """The mix at another time. `keep` is what the plan had ahead, `numbers` of each of its mixes."""

    mix: MixToMove
    task: PlanningTask
    keep: Keep
    numbers: tuple[int, ...]
    to: datetime
    tried: Moved | CannotMove

    @property
    def first_free(self) -> datetime | None:
        """The first time after it that works, where this one does not."""
        if isinstance(self.tried, Moved) or self.tried.first_free is None:
            return None
        return instant_of(self.tried.first_free, self.task.start)

    def number_of(self, mix: KeptMix) -> int:
        """The number that a mix of the plan has on the screens."""
        return next(number for one, number in zip(self.keep.mixes, self.numbers, strict=True) if one is mix)


def mix_to_move(planned_mix_id: int) -> MixToMove:
    """A mix of the newest plan that was not started. Two queries.

    Raises: NotThere.
    """
    ahead = planned_mixes_ahead()
    planned = next((one for one in ahead if one.pk == planned_mix_id), None)
    if planned is None:
        raise NotThere(
            "This mix is not planned any more. Open the Week again.", planned_mix_id=planned_mix_id
        )
    pin = planned.pin
    return MixToMove(
        id=planned.pk,
        number=mix_numbers_ahead(ahead)[planned.pk],
        colour=planned.colour.name,
        colour_id=planned.colour_id,
        compound_id=planned.compound_id,
        starts_at=planned.starts_at,
        pin_id=pin.pk if pin is not None and pin.released_at is None else None,
    )


def tried_move(task: PlanningTask, *, planned_mix_id: int, to: datetime) -> TriedMove:
    """Try a mix of the newest plan at a time, in a task read now. Eight queries.

    Raises: NotThere.
    """
    mix = mix_to_move(planned_mix_id)
    ahead = planned_mixes_ahead()
    keep = kept_plan(task)
    if keep is None or len(keep.mixes) != len(ahead):
        raise NotThere("The plan changed meanwhile. Open the Week again.")
    numbers = mix_numbers_ahead(ahead)
    place = next(number for number, one in enumerate(ahead) if one.pk == planned_mix_id)
    free = _without_own_pin(task, mix)
    minute = minute_of(to, task.start)
    return TriedMove(
        mix=mix,
        task=free,
        keep=keep,
        numbers=tuple(numbers[one.pk] for one in ahead),
        to=to,
        tried=try_move(free.problem, keep, keep.mixes[place], minute),
    )


def _without_own_pin(task: PlanningTask, mix: MixToMove) -> PlanningTask:
    """The task without the pin that holds the mix where it is now."""
    if mix.pin_id is None:
        return task
    others = tuple((pin, pin_id) for pin, pin_id in task.pin_ids if pin_id != mix.pin_id)
    pins = tuple(pin for pin, _ in others)
    return replace(task, problem=replace(task.problem, pins=pins), pin_ids=others)
