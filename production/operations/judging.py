"""How they came out: good, second or scrap, and why."""

from __future__ import annotations

from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from inventory.ports import Offer
from production.errors import AlreadyDone, NotOutYet, NotThere
from production.models import REASONS, Cast, Outcome, Piece
from production.operations.forming import RANK, form_piece
from production.operations.locking import lock_casts_of, lock_mix, lock_pieces
from production.queries.wishes import next_mix_in, wish_label
from production.queries.wording import clock


@act("production.judge_cast")
def judge_cast(tap: Tap, *, cast_id: int, outcome: str, offer_pieces: Offer, reason: str = "") -> Done:
    """Say how one cast came out. When all parts of a piece are out and none is scrap, it becomes a piece.

    `offer_pieces` keeps the new piece for whoever waits for it; it never keeps a second.

    Changes: production_cast, production_piece; what `offer_pieces` changes.
    Again: the first answer.
    Raises: AlreadyDone when the cast was judged; NotOutYet; StudioError for an outcome or reason unheard of.
    """
    _check_words(outcome, reason)
    mix_id = Cast.objects.filter(pk=cast_id).values_list("mix", flat=True).first()
    if mix_id is None:
        raise NotThere("There is no such cast. Open the Bench again.", cast_id=cast_id)
    mix = lock_mix(mix_id)
    cast = next(row for row in lock_casts_of(mix) if row.pk == cast_id)
    copy = f"Copy {cast.mould_copy.number}"
    if cast.outcome:
        raise AlreadyDone(f"{copy} was judged before: {cast.outcome}.", at=cast.out_at)
    if cast.out_at is None:
        raise NotOutYet(f"{copy} is still in the mould. Open the mould first.", cast_id=cast_id)
    cast.outcome = outcome
    cast.reason = reason
    cast.save(update_fields=["outcome", "reason"])
    piece = None if outcome == Outcome.SCRAP else form_piece(cast, now=tap.now)
    if piece is not None:
        offer_pieces(now=tap.now, sorts=[(piece.article_id, piece.colour_id)])
    facts = {
        "cast_id": cast.pk,
        "mix_id": mix.pk,
        "outcome": outcome,
        "piece_id": piece.pk if piece else None,
    }
    return Done(_said_of_cast(cast, copy, piece), facts | {"mark": piece.mark if piece else None})


@act("production.set_reason")
def set_reason(tap: Tap, *, cast_id: int, reason: str) -> Done:
    """Say afterwards why a cast is a second or scrap; an empty reason takes it back.

    Changes: production_cast, production_piece.
    Raises: StudioError when the cast is good or the reason unheard of.
    """
    _check_words(Outcome.SCRAP, reason)
    cast = Cast.objects.select_for_update(no_key=True).filter(pk=cast_id).first()
    if cast is None or cast.outcome in ("", Outcome.GOOD):
        raise StudioError("Only a second or scrap has a reason. Judge it first.", cast_id=cast_id)
    before = cast.reason
    cast.reason = reason
    cast.save(update_fields=["reason"])
    if cast.piece_id is not None:
        Piece.objects.filter(pk=cast.piece_id, outcome=cast.outcome, reason=before).update(reason=reason)
    said = f"Copy {cast.mould_copy.number}: {cast.outcome}, {reason or 'no reason given'}."
    return Done(said, {"cast_id": cast.pk, "reason_before": before, "mix_id": cast.mix_id})


@act("production.judge_piece")
def judge_piece(tap: Tap, *, piece_id: int, outcome: str, offer_pieces: Offer, reason: str = "") -> Done:
    """Say later on the way that a piece is a second or scrap. Whoever it was kept for lacks one again.

    Changes: production_piece; what `offer_pieces` changes.
    Again: the first answer.
    Raises: AlreadyDone when it is as bad already; PieceHasLeft; StudioError for words unheard of.
    """
    _check_words(outcome, reason)
    (piece,) = lock_pieces([piece_id])
    if RANK[Outcome(outcome)] <= RANK[Outcome(piece.outcome)]:
        raise AlreadyDone(
            f"{piece.mark} is {piece.outcome} already. Undo that to change it.", mark=piece.mark
        )
    facts = {"piece_id": piece.pk, "outcome_before": piece.outcome, "reason_before": piece.reason}
    was_good = piece.outcome == Outcome.GOOD
    piece.outcome = outcome
    piece.reason = reason
    piece.save(update_fields=["outcome", "reason"])
    offer_pieces(now=tap.now, sorts=[(piece.article_id, piece.colour_id)])
    said = f"{piece.mark}: {outcome}{f', {reason}' if reason else ''} at {clock(tap.happened_at)}."
    if was_good:
        said += _short_words(piece.wanted_by, piece.article.name.lower(), piece.colour_id)
    return Done(said, facts)


def _check_words(outcome: str, reason: str) -> None:
    if outcome not in Outcome.values:
        raise StudioError("Say good, second or scrap.", outcome=outcome)
    if reason and reason not in REASONS:
        raise StudioError(f"The reasons are {', '.join(REASONS)}. Take one, or none.", reason=reason)


def _said_of_cast(cast: Cast, copy: str, piece: Piece | None) -> str:
    said = f"{copy}: {cast.outcome}"
    if cast.reason:
        said += f", {cast.reason}"
    said += "."
    if cast.outcome == Outcome.SCRAP:
        return said + _short_words(cast.wanted_by, cast.part.article.name, cast.mix.colour_id)
    if piece is None:
        return f"{said} It waits for its other part."
    said += f" {piece.mark} on the shelf to dry."
    if piece.outcome != Outcome.GOOD:
        said += _short_words(cast.wanted_by, cast.part.article.name, cast.mix.colour_id)
    return said


def _short_words(wanted_by: str, article: str, colour_id: int) -> str:
    """Who is one piece short now, and which mix of that colour comes next."""
    label = wish_label(wanted_by)
    if not label:
        return ""
    ahead = next_mix_in(colour_id)
    said = f" {label} is one {article} short."
    return (
        f"{said} The next mix in this colour is {ahead}."
        if ahead
        else f"{said} Plan again to make up for it."
    )
