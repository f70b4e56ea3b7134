"""Who does what when: things that fall due, done in turn by so many pairs of hands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True)
class Turn:
    """One thing in the queue: which of those given it is, when it can be begun, and when it is done."""

    place: int
    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True)
class InTurn:
    """The queue in the order of beginning. From `free_at` a pair of hands is free, until `free_until`.

    `free_until` is None when nothing known takes it again.
    """

    turns: tuple[Turn, ...]
    free_at: datetime
    free_until: datetime | None


def in_turn(
    dues: Sequence[tuple[datetime, int]], *, now: datetime, pairs: int, busy_until: Sequence[datetime] = ()
) -> InTurn:
    """Put what falls due, as (when, minutes of hands), into turn for `pairs` pairs of hands.

    The first to fall due goes first, to the pair that is free first, and nothing begins before it is due.
    `busy_until` are the ends of what hands are at already. A queue by earliest due date; nobody is told to
    stand still for what comes later.
    """
    free = sorted(max(now, one) for one in busy_until)[-max(1, pairs) :]
    free += [now] * (max(1, pairs) - len(free))
    taken = [(now, until) for until in busy_until if until > now]
    turns = []
    for place in sorted(range(len(dues)), key=lambda place: (dues[place][0], place)):
        due_at, minutes = dues[place]
        first = min(free)
        starts_at = max(due_at, first)
        ends_at = starts_at + timedelta(minutes=minutes)
        free[free.index(first)] = ends_at
        taken.append((starts_at, ends_at))
        turns.append(Turn(place, starts_at, ends_at))
    turns.sort(key=lambda turn: (turn.starts_at, turn.place))
    free_at, free_until = _first_gap(taken, now, max(1, pairs))
    return InTurn(tuple(turns), free_at, free_until)


def _first_gap(
    taken: Sequence[tuple[datetime, datetime]], now: datetime, pairs: int
) -> tuple[datetime, datetime | None]:
    """The first instant from `now` with fewer than `pairs` stretches over it, and when all are over again."""

    def are_all_busy(at: datetime) -> bool:
        return sum(1 for start, end in taken if start <= at < end) >= pairs

    free_at = min(at for at in {now, *(end for _, end in taken if end > now)} if not are_all_busy(at))
    later = [start for start, _ in taken if start > free_at and are_all_busy(start)]
    return free_at, min(later, default=None)
