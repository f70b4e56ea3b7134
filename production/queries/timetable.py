"""What falls due when: mixes, moulds, coats and fills, by one reckoning for Bench, notices and calendar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from production.models import PlannedMix
from production.queries.out_of_mould import MouldsDue, moulds_due
from production.queries.progress import mix_numbers_ahead, pieces_here, planned_mixes_ahead
from production.queries.shelf import ShelfRow, rows_with_hands_to_come
from production.queries.waiting import StepFacts

MIX, OPEN, STEP = "mix", "open", "step"


@dataclass(frozen=True)
class Dated:
    """One thing to do at a time. `key` stays the same from look to look; `minutes` of hands.

    `moulds` for what is opened, `row` for what is done on the shelf, `planned_id` for a mix to weigh.
    """

    kind: str
    key: str
    at: datetime
    minutes: int
    words: str
    is_about: bool = False
    moulds: MouldsDue | None = None
    row: ShelfRow | None = None
    planned_id: int | None = None

    @property
    def ends_at(self) -> datetime:
        """When it is done if it is begun when it falls due."""
        return self.at + timedelta(minutes=self.minutes)


def timetable_now(*, now: datetime) -> tuple[Dated, ...]:
    """Everything that hands will do with what is planned, in moulds or on the shelf. Nine queries."""
    ahead = planned_mixes_ahead()
    rows = rows_with_hands_to_come(pieces_here(now=now), now=now)
    return timetable(moulds_due(), ahead, mix_numbers_ahead(ahead), rows)


def timetable(
    due: Sequence[MouldsDue],
    ahead: Sequence[PlannedMix],
    numbers: Mapping[int, int],
    rows: Sequence[ShelfRow],
) -> tuple[Dated, ...]:
    """The same from what was read already, in order of time. No query."""
    dated = [_mix(planned, numbers[planned.pk]) for planned in ahead]
    dated += [_opening(one) for one in due]
    dated += [_step(row, row.step) for row in rows if row.step]
    return tuple(sorted(dated, key=lambda one: (one.at, one.key)))


def _mix(planned: PlannedMix, number: int) -> Dated:
    span = planned.poured_by - planned.starts_at
    return Dated(
        kind=MIX,
        key=f"planned-{planned.pk}",
        at=planned.starts_at,
        minutes=int(span.total_seconds() // 60),
        words=f"Mix {number}, {planned.colour.name}",
        planned_id=planned.pk,
    )


def _opening(due: MouldsDue) -> Dated:
    return Dated(
        kind=OPEN,
        key=f"open-{due.mix_id}",
        at=due.due_at,
        minutes=due.minutes,
        words=f"Out of the mould: {due.moulds}, {due.colour}, mix {due.number}",
        is_about=due.is_about,
        moulds=due,
    )


def _step(row: ShelfRow, step: StepFacts) -> Dated:
    first = row.first
    return Dated(
        kind=STEP,
        key=f"step-{step.step_id}-{min(row.piece_ids)}",
        at=row.due_at,
        minutes=row.minutes,
        words=f"{step.name.capitalize()} on {len(row.pieces)} {first.article}, {first.colour}",
        row=row,
    )
