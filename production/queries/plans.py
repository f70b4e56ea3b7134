"""The newest plan as the Week reads it: its lines, its mixes, and what was mixed for it since."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from production.models import Cast, Outcome, Plan, PlannedCast, PlannedLine, PlannedMix
from production.queries.needs import Weighed, weights_of_planned
from production.queries.progress import (
    PieceHere,
    due_out_at,
    mix_numbers_ahead,
    newest_plan,
    pieces_here,
    planned_mixes_ahead,
)

HasLeft = Callable[[Iterable[str]], Collection[str]]
ORDER, MARKET, SHELF = "order", "market day", "shelf stock"
# As demands name them.
KINDS = {"order": ORDER, "market": MARKET, "shelf": SHELF}


@dataclass(frozen=True)
class MixAhead:
    """A planned mix that was not started, with the number it will have, its casts and what it takes."""

    number: int
    weighed: Weighed

    @property
    def planned(self) -> PlannedMix:
        """Its row."""
        return self.weighed.planned

    @property
    def casts(self) -> tuple[PlannedCast, ...]:
        """Its casts in the order of filling."""
        return self.weighed.casts


@dataclass(frozen=True)
class MixMade:
    """Casts of one mix for one demand. `pieces` are those they have become, the first stands for all."""

    casts: tuple[Cast, ...]
    pieces: tuple[PieceHere, ...]

    @property
    def first(self) -> Cast:
        """The cast that stands for all of them."""
        return self.casts[0]

    @property
    def is_ready(self) -> bool:
        """Whether all of it are pieces that can be packed."""
        return bool(self.pieces) and all(piece.is_ready for piece in self.pieces)

    @property
    def out_at(self) -> datetime:
        """When the last of them was or will be out of its mould."""
        started = self.first.mix.started_at
        return max(cast.out_at or (due_out_at(cast) if cast.poured_at else started) for cast in self.casts)


@dataclass(frozen=True)
class PlanRead:
    """The newest plan with everything the Week shows of it."""

    plan: Plan
    lines: tuple[PlannedLine, ...]
    ahead: tuple[MixAhead, ...]
    made: tuple[MixMade, ...]


def plan_read(*, now: datetime, has_left: HasLeft) -> PlanRead | None:
    """The newest plan, None before the first. 13 queries and that of `has_left`, however much is planned.

    Lines of demands that have left are left out, unless a mix ahead is still poured for them.
    """
    plan = newest_plan()
    if plan is None:
        return None
    ahead = mixes_ahead()
    lines = _lines_that_count(plan, {cast.line_id for mix in ahead for cast in mix.casts}, has_left)
    return PlanRead(plan, lines, ahead, _mixes_made({line.wanted_by for line in lines}, now))


def _lines_that_count(plan: Plan, to_pour: Collection[int], has_left: HasLeft) -> tuple[PlannedLine, ...]:
    found = list(
        PlannedLine.objects.filter(plan=plan)
        .select_related("article", "colour")
        .order_by("ship_by", "label", "wanted_by", "board")
    )
    gone = has_left({line.wanted_by for line in found})
    for line in found:
        line.has_left = line.wanted_by in gone
    return tuple(line for line in found if line.pk in to_pour or not line.has_left)


def mixes_ahead() -> tuple[MixAhead, ...]:
    """The mixes of the newest plan not started yet, in order of time, with their weights. Four queries."""
    planned = planned_mixes_ahead()
    numbers = mix_numbers_ahead(planned)
    return tuple(MixAhead(numbers[weighed.planned.pk], weighed) for weighed in weights_of_planned(planned))


def kind_of(line: PlannedLine) -> str:
    """Whose line it is: an order's, a market day's, or the shelf's.

    What is poured for an order that has left stays on the shelf.
    """
    return SHELF if line.has_left else KINDS.get(line.held_facts.get("kind", ""), ORDER)


def cannot_be_made(line: PlannedLine) -> str:
    """The sentence of a line that no mix can be poured for, "" for all others."""
    return str(line.held_facts.get("cannot_be_made", ""))


def is_late(line: PlannedLine) -> bool:
    """Whether pieces of it leave after their day."""
    return line.days_late > 0 and not line.has_left


def _mixes_made(wanted: set[str], now: datetime) -> tuple[MixMade, ...]:
    """What was mixed for these demands and has not left, by mix and demand. Seven queries."""
    casts = (
        Cast.objects.filter(
            wanted_by__in=wanted,
            left_out_at__isnull=True,
            mix__undone_at__isnull=True,
            piece__shipped_at=None,
        )
        .exclude(outcome=Outcome.SCRAP)
        .select_related("mix__compound", "mix__colour", "part__article", "mould_copy__mould", "piece_colour")
        .order_by("mix__started_at", "mix", "wanted_by", "position")
    )
    groups: dict[tuple[int, str], list[Cast]] = defaultdict(list)
    for cast in casts:
        groups[cast.mix_id, cast.wanted_by].append(cast)
    piece_ids = {cast.piece_id for found in groups.values() for cast in found if cast.piece_id}
    pieces = {piece.id: piece for piece in pieces_here(now=now, piece_ids=piece_ids)}
    return tuple(MixMade(tuple(found), _pieces_of(found, pieces)) for found in groups.values())


def _pieces_of(casts: Sequence[Cast], pieces: Mapping[int, PieceHere]) -> tuple[PieceHere, ...]:
    ids = dict.fromkeys(cast.piece_id for cast in casts if cast.piece_id)
    return tuple(pieces[piece_id] for piece_id in ids if piece_id in pieces)
