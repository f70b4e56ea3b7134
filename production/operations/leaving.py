"""Pieces that leave. Parts of the acts of whoever ships them, not acts themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from production.errors import PieceHasLeft, StepNotDue
from production.models import Outcome, Piece
from production.operations.forming import RANK
from production.operations.locking import lock_pieces
from production.queries.wording import day_clock


def ship_pieces(piece_ids: Sequence[int], *, happened_at: datetime) -> None:
    """Note that these pieces left the studio, all or none.

    Changes: production_piece.
    Raises: PieceHasLeft when one was shipped before; NotThere; StepNotDue when one is scrap or not ready.
    """
    _in_an_act()
    for piece in lock_pieces(piece_ids):
        if piece.outcome == Outcome.SCRAP:
            raise StepNotDue(f"{piece.mark} is scrap and cannot be shipped.", mark=piece.mark)
        if piece.ready_at is None:
            raise StepNotDue(f"{piece.mark} is not ready: it still wants hands.", mark=piece.mark)
        if piece.ready_at > happened_at:
            when = day_clock(piece.ready_at, happened_at)
            raise StepNotDue(
                f"{piece.mark} is ready {when}. Ship it then.", mark=piece.mark, due_at=piece.ready_at
            )
    changed = Piece.objects.filter(pk__in=list(piece_ids), shipped_at=None).update(shipped_at=happened_at)
    if changed != len(set(piece_ids)):
        raise PieceHasLeft("A piece of this box was shipped on another screen. Open it again.")


def unship_pieces(piece_ids: Sequence[int]) -> None:
    """Take back that these pieces left; pieces that are here already stay as they are.

    Changes: production_piece.
    """
    _in_an_act()
    Piece.objects.filter(pk__in=list(piece_ids)).update(shipped_at=None)


@dataclass(frozen=True)
class TakenBack:
    """What a piece was before it was taken back, and its outcome now."""

    outcome: str
    reason: str
    shipped_at: datetime | None
    outcome_now: str

    def as_facts(self) -> list[str]:
        """Plain figures from which `give_back_pieces` makes it what it was."""
        return [self.outcome, self.reason, self.shipped_at.isoformat() if self.shipped_at else ""]


def take_back_pieces(
    piece_ids: Sequence[int], *, outcome: str, is_here: bool, happened_at: datetime
) -> dict[int, TakenBack]:
    """Note that pieces that left are back (`is_here`), or lost to whoever got them, and as what they count.

    A piece never gets better than it was. Answers what each was, by id.

    Changes: production_piece.
    Raises: StepNotDue when one has not left.
    """
    _in_an_act()
    found: dict[int, TakenBack] = {}
    for piece in Piece.objects.select_for_update(no_key=True).filter(pk__in=list(piece_ids)).order_by("pk"):
        if piece.shipped_at is None:
            raise StepNotDue(f"{piece.mark} has not left.", mark=piece.mark)
        now = max(Outcome(outcome), Outcome(piece.outcome), key=lambda one: RANK[one])
        found[piece.pk] = TakenBack(piece.outcome, piece.reason, piece.shipped_at, now.value)
        piece.outcome = now
        piece.shipped_at = None if is_here else piece.shipped_at
        piece.save(update_fields=["outcome", "shipped_at"])
    return found


def give_back_pieces(before: Mapping[int, Sequence[str]]) -> None:
    """Make pieces what they were before they were taken back, by id as `TakenBack.as_facts` wrote them.

    Changes: production_piece.
    """
    _in_an_act()
    for piece_id, (outcome, reason, shipped_at) in before.items():
        Piece.objects.filter(pk=piece_id).update(
            outcome=outcome,
            reason=reason,
            shipped_at=datetime.fromisoformat(shipped_at) if shipped_at else None,
        )


def _in_an_act() -> None:
    if not transaction.get_connection().in_atomic_block:
        raise AssertionError("pieces leave only inside the transaction of an act")
