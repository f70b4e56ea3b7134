"""What the newest plan changed of the one before it, and why it was made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from production.models import PlannedMix
from production.planning.calm import STAYS_WITHIN, pair_starts
from production.queries.pins import PinMissed, pins_missed
from production.queries.progress import plans_that_count

MINUTE_SECONDS = 60
Jug = tuple[int, int]


@dataclass(frozen=True)
class MixChange:
    """A mix of the plan before that is not where it was; `now_at` None where there is none for it now."""

    colour: str
    colour_hex: str
    was_at: datetime
    now_at: datetime | None


@dataclass(frozen=True)
class PlanChanges:
    """`kept` of `of` mixes stayed where they were, `more` stand for none of the plan before.

    `missed` are pins the plan could not keep.

    `because` is the sentence that says why it was made, "" where nobody said. `plan_id` can be taken back
    to the plan of `before_at`.
    """

    plan_id: int
    before_at: datetime
    because: str
    kept: int
    of: int
    more: int
    changes: tuple[MixChange, ...]
    missed: tuple[PinMissed, ...]

    @property
    def words(self) -> str:
        """The share kept, and how many are new: "11 of 13 mixes stay where they were; 2 are new."."""
        return f"{self._kept_words}{self._new_words}."

    @property
    def _kept_words(self) -> str:
        if not self.of:
            return "The plan before had no mixes ahead"
        if self.kept == self.of == 1:
            return "The mix stays where it was"
        if self.kept == self.of == 2:
            return "Both mixes stay where they were"
        if self.kept == self.of:
            return f"All {self.of} mixes stay where they were"
        return f"{self.kept} of {self.of} mixes stay where they were"

    @property
    def _new_words(self) -> str:
        if not self.of or not self.more:
            return ""
        return f"; {self.more} {'is' if self.more == 1 else 'are'} new"


def plan_changes(*, now: datetime) -> PlanChanges | None:
    """What the newest plan changed; None where there is no plan before it. Five queries at most."""
    plans = list(plans_that_count()[:2])
    if len(plans) < 2:
        return None
    newest, before = plans
    # What was started from the old plan before the new one is no change of it.
    old = _by_jug(PlannedMix.objects.filter(plan=before, mix__isnull=True).select_related("colour"))
    new = _by_jug(PlannedMix.objects.filter(plan=newest).select_related("colour"))
    changes: list[MixChange] = []
    kept = 0
    for jug, mixes in old.items():
        at = {_minute(mix.starts_at): mix.starts_at for mix in new[jug]}
        starts = [max(_minute(mix.starts_at), _minute(newest.planned_from)) for mix in mixes]
        for mix, (was, is_at) in zip(mixes, pair_starts(starts, sorted(at)), strict=True):
            if is_at is not None and abs(is_at - was) <= STAYS_WITHIN:
                kept += 1
            else:
                now_at = None if is_at is None else at[is_at]
                changes.append(MixChange(mix.colour.name, mix.colour.hex, mix.starts_at, now_at))
    found_again = kept + sum(change.now_at is not None for change in changes)
    return PlanChanges(
        plan_id=newest.pk,
        before_at=before.adopted_at,
        because=newest.because,
        kept=kept,
        of=sum(len(mixes) for mixes in old.values()),
        more=sum(len(mixes) for mixes in new.values()) - found_again,
        changes=tuple(sorted(changes, key=lambda change: change.was_at)),
        missed=pins_missed(now=now),
    )


def _by_jug(rows: Iterable[PlannedMix]) -> dict[Jug, list[PlannedMix]]:
    found: dict[Jug, list[PlannedMix]] = defaultdict(list)
    for mix in rows:
        found[mix.compound_id, mix.colour_id].append(mix)
    for mixes in found.values():
        mixes.sort(key=lambda mix: mix.starts_at)
    return found


def _minute(at: datetime) -> int:
    return int(at.timestamp()) // MINUTE_SECONDS
