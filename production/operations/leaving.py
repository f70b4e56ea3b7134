"""Pieces that leave. Parts of the acts of whoever ships them, not acts themselves."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from production.errors import PieceHasLeft, StepNotDue
from production.models import Outcome, Piece
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


def _in_an_act() -> None:
    if not transaction.get_connection().in_atomic_block:
        raise AssertionError("pieces leave only inside the transaction of an act")
