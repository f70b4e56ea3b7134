"""Copies of a studio in the middle of a simulation, and whether two studios have the same before them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from production.planning.state import (
    MAY_BE_POURED,
    OPENING,
    OPENING_DUE,
    TRY_AGAIN,
    GivenMix,
    GivenNeeds,
    Studio,
)

T = TypeVar("T")


@dataclass(frozen=True)
class Snapshot:
    """The studio before the window of this number is played.

    `left`: pieces of each unit that were in no given mix at the start.
    """

    window: int
    studio: Studio
    left: Sequence[int]

    @cached_property
    def _to_come(self) -> tuple[object, ...]:
        return _to_come(self.studio)

    def is_like(self, studio: Studio, given: Sequence[GivenNeeds], end: Studio) -> bool:
        """Whether another studio, before the same window, has the same before it as this one.

        `given` are this one's given mixes, `end` is what it came to.
        """
        mine = self.studio
        return (
            mine.next_task == studio.next_task
            and mine.casts_to_open == studio.casts_to_open
            and mine.left == studio.left
            and mine.free == studio.free
            and self._is_supplied_alike(studio, end)
            and self._to_come == _to_come(studio)
            and _not_poured(mine, given) == _not_poured(studio, studio.given)
        )

    def _is_supplied_alike(self, studio: Studio, end: Studio) -> bool:
        """Whether as much is in hand, or more of what there never was too little of from here on."""
        mine = self.studio
        return all(
            here == there
            or (
                there > here
                and mine.shortages[supply] == end.shortages[supply]
                and not mine.awaiting_supply.get(supply)
                and not mine.steps_awaiting_supply.get(supply)
            )
            for supply, (here, there) in enumerate(zip(mine.in_hand, studio.in_hand, strict=True))
        )


def _to_come(studio: Studio) -> tuple[object, ...]:
    """What a studio has before it, beside plain counts, told in a way that its past has no part in.

    Mixes are numbered from the latest back. Where what cannot be poured is parked, and when it is
    looked at again, says nothing: before a window it can lack nothing that it would not lack anywhere.
    """
    poured = len(studio.mixes)
    return (
        sorted(
            (minute, kind, index - poured if kind == OPENING_DUE and index >= 0 else index, amount)
            for minute, kind, index, amount in studio.events
            if kind not in (TRY_AGAIN, MAY_BE_POURED)
        ),
        sorted(
            (urgency, kind, index - poured if kind == OPENING and index >= 0 else index, minutes)
            for urgency, kind, index, minutes in (*studio.ready, *studio.too_long_today)
        ),
        [mix.takes for mix in studio.mixes if mix.opened is None],
        [sorted(queue) for queue in studio.queues],
        [
            minute
            for minute, casts in zip(studio.first_task_at, studio.casts_to_open, strict=True)
            if casts > 0
        ],
        {supply: sorted(tasks) for supply, tasks in studio.steps_awaiting_supply.items()},
        studio.open_pins,
        # Of studios with the same given mixes at pins; with others what is held is not the same.
        studio.holds,
        studio.held,
        studio.to_hold,
    )


def _not_poured(studio: Studio, given: Sequence[GivenNeeds]) -> list[GivenMix]:
    poured = studio.poured_given
    return [needs.mix for number, needs in enumerate(given, start=len(studio.queues)) if number not in poured]


def copy_of(studio: Studio) -> Studio:
    """A studio that can go on by itself; what never changes is shared."""
    return Studio(
        prepared=studio.prepared,
        rule=studio.rule,
        unit_urgency=studio.unit_urgency,
        opening_urgency=studio.opening_urgency,
        line_offset=studio.line_offset,
        left=studio.left.copy(),
        free=studio.free.copy(),
        in_hand=studio.in_hand.copy(),
        shortages=studio.shortages.copy(),
        queues=[queue.copy() for queue in studio.queues],
        given=studio.given,
        tokens=studio.tokens.copy(),
        casts_to_open=studio.casts_to_open.copy(),
        first_task_at=studio.first_task_at.copy(),
        next_task=studio.next_task.copy(),
        task_starts=studio.task_starts.copy(),
        packed_at=studio.packed_at.copy(),
        filled_opened=studio.filled_opened.copy(),
        mixes=studio.mixes.copy(),
        events=studio.events.copy(),
        ready=studio.ready.copy(),
        active=studio.active.copy(),
        awaiting_copies={mould: parked.copy() for mould, parked in studio.awaiting_copies.items()},
        awaiting_supply={supply: parked.copy() for supply, parked in studio.awaiting_supply.items()},
        steps_awaiting_supply={
            supply: tasks.copy() for supply, tasks in studio.steps_awaiting_supply.items()
        },
        awaiting_window=studio.awaiting_window.copy(),
        too_long_today=studio.too_long_today.copy(),
        open_pins=studio.open_pins.copy(),
        poured_given=studio.poured_given.copy(),
        holds=studio.holds,
        held=studio.held.copy(),
        to_hold=studio.to_hold.copy(),
    )


def finish_like(studio: Studio, snapshot: Snapshot, end: Studio) -> None:
    """Give a studio that is like a snapshot the end that the snapshot's came to."""
    before = snapshot.studio
    poured = len(before.mixes)
    # Mixes that were in their moulds then were opened later.
    later = {number: end.mixes[number] for number, mix in enumerate(before.mixes) if mix.opened is None}
    shift = len(studio.mixes) - poured
    for number, mix in later.items():
        if mix.opened is not None:
            studio.mixes[number + shift] = studio.mixes[number + shift].opened_at(mix.opened)
    studio.mixes += end.mixes[poured:]
    studio.task_starts = _ends(studio.task_starts, before.task_starts, end.task_starts)
    studio.packed_at = _ends(studio.packed_at, before.packed_at, end.packed_at)
    studio.filled_opened = _ends(studio.filled_opened, before.filled_opened, end.filled_opened)
    studio.next_task = end.next_task


def _ends(now: list[T], before: list[T], end: list[T]) -> list[T]:
    """What has been noted so far, and from the other end what had not."""
    return [later if mine == other else mine for mine, other, later in zip(now, before, end, strict=True)]
