"""Taking back what was said of casts and done to pieces (see `undoing`)."""

from __future__ import annotations

from datetime import datetime

from django.db.models import F

from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.ledger import reverse
from inventory.ports import Offer
from production.errors import LaterActsDepend
from production.models import Cast, Piece, StepDone, Weighing
from production.operations.forming import settle_ready
from production.operations.locking import lock_casts_of, lock_mix, lock_pieces
from production.operations.weighing import settle_group
from production.queries.wording import clock, counted


@act("production.undo_judge_cast", undoes="act_id")
def undo_judge_cast(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a judgement back, and with it the piece it completed.

    Raises: NothingToUndo; LaterActsDepend once the cast is part of a piece made by a later judgement, or the
    piece was weighed, coated, judged or shipped.
    """
    answer = act_to_undo(act_id, "production.judge_cast").answer
    mix = lock_mix(answer["mix_id"])
    cast = next(row for row in lock_casts_of(mix) if row.pk == answer["cast_id"])
    if cast.piece_id is not None and cast.piece_id != answer["piece_id"]:
        mark = Piece.objects.values_list("mark", flat=True).get(pk=cast.piece_id)
        raise LaterActsDepend(f"The cast is part of {mark} now. Undo the other part first.", mark=mark)
    if cast.piece_id is not None:
        _take_piece_apart(cast.piece_id, tap.now)
    Cast.objects.filter(pk=cast.pk).update(outcome="", reason="")
    if offer_pieces is not None:
        offer_pieces(now=tap.now)
    return Done(f"Copy {cast.mould_copy.number}: not judged.", {})


@act("production.undo_set_reason", undoes="act_id")
def undo_set_reason(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put the reason back to what it was.

    Raises: NothingToUndo; LaterActsDepend when the judgement itself was undone.
    """
    answer = act_to_undo(act_id, "production.set_reason").answer
    cast = Cast.objects.select_for_update(no_key=True).get(pk=answer["cast_id"])
    if not cast.outcome:
        raise LaterActsDepend("The judgement itself was undone. There is no reason any more.")
    if cast.piece_id is not None:
        Piece.objects.filter(pk=cast.piece_id, reason=cast.reason).update(reason=answer["reason_before"])
    Cast.objects.filter(pk=cast.pk).update(reason=answer["reason_before"])
    return Done(f"Reason: {answer['reason_before'] or 'none given'}.", {})


@act("production.undo_judge_piece", undoes="act_id")
def undo_judge_piece(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put the outcome of a piece back to what it was.

    Raises: NothingToUndo; PieceHasLeft.
    """
    answer = act_to_undo(act_id, "production.judge_piece").answer
    (piece,) = lock_pieces([answer["piece_id"]])
    piece.outcome, piece.reason = answer["outcome_before"], answer["reason_before"]
    piece.save(update_fields=["outcome", "reason"])
    if offer_pieces is not None:
        offer_pieces(now=tap.now, sorts=[(piece.article_id, piece.colour_id)])
    return Done(f"{piece.mark}: {piece.outcome}.", {})


@act("production.undo_finish_step", undoes="act_id")
def undo_finish_step(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a step back on all its pieces; what was drawn goes back into its tub.

    Raises: NothingToUndo; LaterActsDepend once a later step was done on one; PieceHasLeft.
    """
    record = act_to_undo(act_id, "production.finish_step")
    answer = record.answer
    pieces = lock_pieces(answer["piece_ids"])
    for piece in pieces:
        if piece.last_step_at != record.happened_at:
            raise LaterActsDepend(
                f"{piece.mark} has had its next step {clock(piece.last_step_at)}. Undo that first.",
                mark=piece.mark,
            )
    for posting_id in sorted({draw["posting_id"] for draw in answer["draws"]}):
        reverse(tap, posting_id, reason="step undone")
    StepDone.objects.filter(
        piece__in=[piece.pk for piece in pieces], position=F("piece__steps_done"), undone_at__isnull=True
    ).update(undone_at=tap.now)
    for piece in pieces:
        steps_done, last_step_at = answer["before"][str(piece.pk)]
        piece.steps_done = steps_done
        piece.last_step_at = datetime.fromisoformat(last_step_at)
        piece.save(update_fields=["steps_done", "last_step_at"])
    settle_ready([piece.pk for piece in pieces], now=tap.now)
    return Done(f"Step undone on {counted(len(pieces), 'piece')}.", {})


@act("production.undo_weigh_piece", undoes="act_id")
def undo_weigh_piece(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Leave a weighing out.

    Raises: NothingToUndo; PieceHasLeft.
    """
    answer = act_to_undo(act_id, "production.weigh_piece").answer
    lock_pieces([answer["piece_id"]])
    Weighing.objects.filter(pk=answer["weighing_id"]).update(undone_at=tap.now)
    (piece,) = lock_pieces([answer["piece_id"]])
    settle_group(piece, now=tap.now)
    return Done(f"{piece.mark}: weight left out.", {})


@act("production.undo_weigh_cast", undoes="act_id")
def undo_weigh_cast(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put the weight out of the mould back to what it was.

    Raises: NothingToUndo.
    """
    answer = act_to_undo(act_id, "production.weigh_cast").answer
    cast = Cast.objects.select_for_update(no_key=True).get(pk=answer["cast_id"])
    cast.out_mg = answer["mass_before"]
    cast.save(update_fields=["out_mg"])
    if cast.piece_id is not None:
        settle_ready([cast.piece_id], now=tap.now)
    return Done(f"Copy {cast.mould_copy.number}: weight left out.", {})


@act("production.undo_call_dry", undoes="act_id")
def undo_call_dry(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take back that pieces were called dry.

    Raises: NothingToUndo; LaterActsDepend once a step was done on one; PieceHasLeft.
    """
    answer = act_to_undo(act_id, "production.call_dry").answer
    pieces = lock_pieces(answer["piece_ids"])
    for piece in pieces:
        if piece.steps_done:
            raise LaterActsDepend(f"{piece.mark} was worked on since. Undo that first.", mark=piece.mark)
    Piece.objects.filter(pk__in=[piece.pk for piece in pieces]).update(dry_called_at=None)
    settle_ready([piece.pk for piece in pieces], now=tap.now)
    return Done(f"{counted(len(pieces), 'piece')} left to dry.", {})


def _take_piece_apart(piece_id: int, now: datetime) -> None:
    """Undo a piece that nothing was done to yet; its casts are parts again."""
    (piece,) = lock_pieces([piece_id])
    if piece.steps_done or piece.dry_called_at or piece.weighings.all() or piece.outcome != _worst(piece):
        raise LaterActsDepend(f"{piece.mark} was worked on since. Undo that first.", mark=piece.mark)
    Cast.objects.filter(piece=piece).update(piece=None)
    Piece.objects.filter(pk=piece.pk).update(undone_at=now)


def _worst(piece: Piece) -> str:
    ranks = ("good", "second", "scrap")
    return max((cast.outcome for cast in piece.casts.all()), key=ranks.index, default="good")
